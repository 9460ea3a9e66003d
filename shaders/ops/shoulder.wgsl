struct Shoulder {
    knee: f32,
    bend: f32,
}

// The largest channel's distance above the knee, divided by 1 + bend times it; all channels by the same factor.
fn op_shoulder(p: Shoulder, rgb: vec3f) -> vec3f {
    let largest = max(max(rgb.r, rgb.g), rgb.b);
    let above = largest - p.knee;
    let bent = above * p.bend;
    // Below the knee, and without strength, not a bit changes; and few pixels of a picture are above it.
    if bent <= 0.0 {
        return rgb;
    }
    return rgb * ((p.knee + above / (1.0 + bent)) / largest);
}
