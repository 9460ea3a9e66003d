struct SoftClip {
    high: f32,
    high_shift: f32,
    high_rate: f32,
    low: f32,
    low_shift: f32,
    low_rate: f32,
}

// What is left to 1 above the one end, or to 0 below the other: 2^x, at most one half, and nothing far out.
fn soft_clip_left(x: vec3f) -> vec3f {
    return exp2(clamp(x, vec3f(-120.0), vec3f(0.0)));
}

// An end that is off lies beyond every signal.
fn op_soft_clip(p: SoftClip, rgb: vec3f) -> vec3f {
    let above = rgb > vec3f(p.high);
    let below = rgb < vec3f(p.low);
    if !any(above | below) {
        return rgb;
    }
    let rolled = select(rgb, soft_clip_left(p.low_shift + rgb * p.low_rate), below);
    return select(rolled, 1.0 - soft_clip_left(p.high_shift - rgb * p.high_rate), above);
}
