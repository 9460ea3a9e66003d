//!use shared/powers.wgsl

// A pure power, mirrored about zero.

struct GammaDecode {
    exponent: f32,
}

fn gamma_decode(p: GammaDecode, code: vec3f) -> vec3f {
    return signed_power(code, p.exponent);
}

struct GammaEncode {
    exponent: f32,
}

fn gamma_encode(p: GammaEncode, light: vec3f) -> vec3f {
    return signed_root(light, p.exponent);
}
