//!use shared/powers.wgsl

// Logarithm above a break, square root below it.

struct SquareLogDecode {
    power: f32,
    shift: f32,
    offset: f32,
    square: f32,
    start: f32,
    cut: f32,
    floor: f32,
}

fn square_log_decode(p: SquareLogDecode, code: vec3f) -> vec3f {
    let held = max(code, vec3f(p.floor));
    let root = sign(held) * sqrt(abs(held) * p.square) + p.start;
    let curve = finite_exp2(held * p.power + p.shift) + p.offset;
    return select(root, curve, held >= vec3f(p.cut));
}

struct SquareLogEncode {
    offset: f32,
    slope: f32,
    shift: f32,
    square: f32,
    start: f32,
    cut: f32,
    floor: f32,
}

fn square_log_encode(p: SquareLogEncode, light: vec3f) -> vec3f {
    let held = max(light, vec3f(p.floor));
    // Held so that its square stays a float.
    let above = clamp(held - p.start, vec3f(-1e18), vec3f(1e18));
    let square = above * abs(above) * p.square;
    return select(square, finite_log2(held + p.offset) * p.slope + p.shift, held >= vec3f(p.cut));
}
