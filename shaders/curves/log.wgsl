//!use shared/powers.wgsl

// Logarithm above a break, straight line below it.

struct LogDecode {
    power: f32,
    shift: f32,
    offset: f32,
    line_scale: f32,
    line_offset: f32,
    cut: f32,
}

fn log_decode(p: LogDecode, code: vec3f) -> vec3f {
    let curve = finite_exp2(code * p.power + p.shift) + p.offset;
    let line = code * p.line_scale + p.line_offset;
    return select(line, curve, code >= vec3f(p.cut));
}

struct LogEncode {
    scale: f32,
    offset: f32,
    slope: f32,
    shift: f32,
    line_scale: f32,
    line_offset: f32,
    cut: f32,
    line_top: f32,
}

fn log_encode(p: LogEncode, light: vec3f) -> vec3f {
    let curve = finite_log2(light * p.scale + p.offset) * p.slope + p.shift;
    let line = min(light * p.line_scale + p.line_offset, vec3f(p.line_top));
    return select(line, curve, light >= vec3f(p.cut));
}
