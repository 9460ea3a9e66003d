//!use shared/powers.wgsl

struct Contrast {
    weights: vec3f,
    exponent: f32,
    hold: f32,
}

// All channels by (Y/p)^(slope - 1); the weights give Y/p, which is held off zero.
fn op_contrast(p: Contrast, rgb: vec3f) -> vec3f {
    let size = max(abs(dot(p.weights, rgb)), p.hold);
    let gain = finite_exp2(p.exponent * finite_log2(vec3f(size)));
    // exp2(0) may be off by a bit, and slope 1 is no change at all.
    return select(rgb * gain, rgb, p.exponent == 0.0);
}

struct ContrastPerChannel {
    slope: f32,
    offset: f32,
}

fn op_contrast_per_channel(p: ContrastPerChannel, code: vec3f) -> vec3f {
    return code * p.slope + p.offset;
}
