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
    let curve = min(finite_exp2(size * p.power + p.shift) + p.offset, vec3f(LARGEST_LIGHT));
    return sign(code) * select(size * size * p.square, curve, size > vec3f(p.cut));
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
    return sign(light) * select(sqrt(size * p.square), curve, size > vec3f(p.cut));
}
