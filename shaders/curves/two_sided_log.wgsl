//!use shared/powers.wgsl

// Logarithms on both sides of a straight piece around black (which may have no width).

struct TwoSidedDecode {
    power: f32,
    high_shift: f32,
    low_shift: f32,
    scale: f32,
    line_scale: f32,
    line_offset: f32,
    high_cut: f32,
    low_cut: f32,
}

fn two_sided_decode(p: TwoSidedDecode, code: vec3f) -> vec3f {
    let high = min((finite_exp2(code * p.power + p.high_shift) - 1.0) * p.scale, vec3f(LARGEST_LIGHT));
    let low = max((1.0 - finite_exp2(p.low_shift - code * p.power)) * p.scale, vec3f(-LARGEST_LIGHT));
    let line = code * p.line_scale + p.line_offset;
    return select(select(line, low, code < vec3f(p.low_cut)), high, code > vec3f(p.high_cut));
}

struct TwoSidedEncode {
    scale: f32,
    slope: f32,
    high_shift: f32,
    low_shift: f32,
    line_scale: f32,
    line_offset: f32,
    high_cut: f32,
    low_cut: f32,
}

fn two_sided_encode(p: TwoSidedEncode, light: vec3f) -> vec3f {
    let logarithm = finite_log2(abs(light) * p.scale + 1.0) * p.slope;
    let high = logarithm + p.high_shift;
    let low = p.low_shift - logarithm;
    let line = light * p.line_scale + p.line_offset;
    return select(select(line, low, light < vec3f(p.low_cut)), high, light > vec3f(p.high_cut));
}
