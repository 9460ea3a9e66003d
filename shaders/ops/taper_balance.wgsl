//!use shared/powers.wgsl

struct TaperBalance {
    excess: vec3f,
    weights: vec3f,
    slope: f32,
}

// The weights give luminance as a factor of that in the middle of the taper. Without luminance its logarithm is
// far below every taper, so that the weight is exactly zero.
fn op_taper_balance(p: TaperBalance, rgb: vec3f) -> vec3f {
    let stops = finite_log2_of(dot(p.weights, rgb));
    let t = clamp(stops * p.slope + 0.5, 0.0, 1.0);
    let weight = t * t * (3.0 - 2.0 * t);
    return rgb * (1.0 + weight * p.excess);
}
