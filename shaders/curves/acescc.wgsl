//!use shared/powers.wgsl

// ACEScc: a pure logarithm, a blend of it near black, and below zero a tangent or (as published) a floor.

struct AcesccDecode {
    power: f32,
    shift: f32,
    half_floor: f32,
    upper_cut: f32,
    lower_cut: f32,
    line_scale: f32,
    line_offset: f32,
    ceiling: f32,
}

fn acescc_decode(p: AcesccDecode, code: vec3f) -> vec3f {
    let light = finite_exp2(code * p.power + p.shift);
    let near_black = (light - p.half_floor) * 2.0;
    let line = code * p.line_scale + p.line_offset;
    let upper = select(near_black, min(light, vec3f(p.ceiling)), code > vec3f(p.upper_cut));
    return select(upper, line, code < vec3f(p.lower_cut));
}

struct AcesccEncode {
    slope: f32,
    shift: f32,
    half_floor: f32,
    cut: f32,
    line_scale: f32,
    line_offset: f32,
}

fn acescc_encode(p: AcesccEncode, light: vec3f) -> vec3f {
    let near_black = p.half_floor + light * 0.5;
    let inner = select(near_black, light, light >= vec3f(p.cut));
    let curve = finite_log2(inner) * p.slope + p.shift;
    let line = light * p.line_scale + p.line_offset;
    return select(curve, line, light < vec3f(0.0));
}
