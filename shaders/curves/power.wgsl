//!use shared/powers.wgsl

// A power above a break, a straight line below it, mirrored about zero.

struct PowerDecode {
    scale: f32,
    offset: f32,
    exponent: f32,
    line_scale: f32,
    cut: f32,
}

fn power_decode(p: PowerDecode, code: vec3f) -> vec3f {
    let size = abs(code);
    let curve = finite_exp2(p.exponent * finite_log2(size * p.scale + p.offset));
    return with_sign(select(size * p.line_scale, curve, size >= vec3f(p.cut)), code);
}

struct PowerEncode {
    exponent: f32,
    scale: f32,
    offset: f32,
    line_scale: f32,
    cut: f32,
}

fn power_encode(p: PowerEncode, light: vec3f) -> vec3f {
    let size = abs(light);
    let curve = exp2(p.exponent * finite_log2(size)) * p.scale + p.offset;
    return with_sign(select(size * p.line_scale, curve, size >= vec3f(p.cut)), light);
}
