//!use shared/powers.wgsl

// A power, mirrored about zero, with a straight piece near zero where the cut is above it.

struct PowerDecode {
    lift: f32,
    scale: f32,
    offset: f32,
    exponent: f32,
    line_scale: f32,
    gain: f32,
    black: f32,
    cut: f32,
}

fn power_decode(p: PowerDecode, code: vec3f) -> vec3f {
    let lifted = code + p.lift;
    let size = abs(lifted);
    let curve = signed_power(size * p.scale + p.offset, p.exponent);
    let light = select(size * p.line_scale, curve, size >= vec3f(p.cut));
    return sign(lifted) * light * p.gain + p.black;
}

struct PowerEncode {
    gain: f32,
    black: f32,
    exponent: f32,
    scale: f32,
    offset: f32,
    line_scale: f32,
    lift: f32,
    cut: f32,
}

fn power_encode(p: PowerEncode, light: vec3f) -> vec3f {
    let raised = light * p.gain + p.black;
    let size = abs(raised);
    let curve = signed_power(size, p.exponent) * p.scale + p.offset;
    return sign(raised) * select(size * p.line_scale, curve, size >= vec3f(p.cut)) + p.lift;
}
