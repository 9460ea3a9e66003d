// Associated alpha, divided out on the way in and multiplied back on the way out. Where alpha is zero
// the colour is left as it is.

fn without_alpha(rgba: vec4f) -> vec4f {
    let divisor = select(1.0, rgba.a, rgba.a != 0.0);
    return vec4f(rgba.rgb / divisor, rgba.a);
}

fn with_alpha(rgba: vec4f) -> vec4f {
    let factor = select(1.0, rgba.a, rgba.a != 0.0);
    return vec4f(rgba.rgb * factor, rgba.a);
}
