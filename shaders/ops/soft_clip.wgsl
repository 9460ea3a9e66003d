struct SoftClip {
    high: f32,
    room: f32,
    per_room: f32,
    low: f32,
    per_low: f32,
}

// An end that is off lies beyond every signal; exponents are held where an exponential is nothing.
fn op_soft_clip(p: SoftClip, rgb: vec3f) -> vec3f {
    if all((rgb <= vec3f(p.high)) & (rgb >= vec3f(p.low))) {
        return rgb;
    }
    let above = p.high + p.room * (1.0 - exp2(max((p.high - rgb) * p.per_room, vec3f(-120.0))));
    let below = p.low * exp2(max((rgb - p.low) * p.per_low, vec3f(-120.0)));
    return select(select(rgb, below, rgb < vec3f(p.low)), above, rgb > vec3f(p.high));
}
