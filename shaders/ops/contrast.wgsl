//!use shared/powers.wgsl

struct Contrast {
    weights: vec3f,
    exponent: f32,
    hold: f32,
}

// All channels by (Y/p)^(slope - 1); the weights give Y/p, which is held off zero.
fn op_contrast(p: Contrast, rgb: vec3f) -> vec3f {
    let size = finite_log2_of(max(abs(dot(p.weights, rgb)), p.hold));
    // Held where the largest light ends, as the curves are: what is that bright must not become infinite.
    let gain = exp2(min(p.exponent * size, 99.0 - size));
    // exp2(0) may be off by a bit, and slope 1 is no change at all.
    return rgb * select(gain, 1.0, p.exponent == 0.0);
}

struct ContrastPerChannel {
    slope: f32,
    offset: f32,
}

fn op_contrast_per_channel(p: ContrastPerChannel, code: vec3f) -> vec3f {
    return code * p.slope + p.offset;
}
