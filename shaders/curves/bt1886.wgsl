//!use shared/powers.wgsl

// A power of a lifted code: a display whose black is not without light. Mirrored about no light.

struct Bt1886Decode {
    lift: f32,
    exponent: f32,
    gain: f32,
    black: f32,
}

fn bt1886_decode(p: Bt1886Decode, code: vec3f) -> vec3f {
    return signed_power(code + p.lift, p.exponent) * p.gain + p.black;
}

struct Bt1886Encode {
    gain: f32,
    black: f32,
    exponent: f32,
    lift: f32,
}

fn bt1886_encode(p: Bt1886Encode, light: vec3f) -> vec3f {
    return signed_root(light * p.gain + p.black, p.exponent) + p.lift;
}
