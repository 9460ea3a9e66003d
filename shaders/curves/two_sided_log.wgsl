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

// (2^x - 1) scale, held below 2^99 as every curve is.
fn two_sided_antilog(x: vec3f, scale: f32) -> vec3f {
    return min((exp2(min(x, vec3f(126.0))) - 1.0) * scale, vec3f(exp2(99.0)));
}

fn two_sided_decode(p: TwoSidedDecode, code: vec3f) -> vec3f {
    let high = two_sided_antilog(code * p.power + p.high_shift, p.scale);
    let low = -two_sided_antilog(p.low_shift - code * p.power, p.scale);
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
