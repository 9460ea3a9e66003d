struct Shoulder {
    knee: f32,
    bend: f32,
}

// The largest channel's distance above the knee, divided by 1 + bend times it; all channels by the same factor.
fn op_shoulder(p: Shoulder, rgb: vec3f) -> vec3f {
    let largest = max(max(rgb.r, rgb.g), rgb.b);
    let above = max(largest - p.knee, 0.0);
    let bent = above * p.bend;
    let gain = (p.knee + above / (1.0 + bent)) / max(largest, p.knee);
    // Below the knee, and without strength, not a bit changes.
    return select(rgb, rgb * gain, bent > 0.0);
}
