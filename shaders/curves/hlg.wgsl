//!use shared/powers.wgsl

// Hybrid log-gamma: a square root below a half, a logarithm above, mirrored about zero.

struct HlgDecode {
    power: f32,
    shift: f32,
    offset: f32,
    square: f32,
    cut: f32,
}

fn hlg_decode(p: HlgDecode, code: vec3f) -> vec3f {
    let size = abs(code);
    let curve = finite_exp2(size * p.power + p.shift) + p.offset;
    return with_sign(select(size * size * p.square, curve, size > vec3f(p.cut)), code);
}

struct HlgEncode {
    slope: f32,
    shift: f32,
    offset: f32,
    square: f32,
    cut: f32,
}

fn hlg_encode(p: HlgEncode, light: vec3f) -> vec3f {
    let size = abs(light);
    let curve = finite_log2(size + p.offset) * p.slope + p.shift;
    return with_sign(select(sqrt(size * p.square), curve, size > vec3f(p.cut)), light);
}
