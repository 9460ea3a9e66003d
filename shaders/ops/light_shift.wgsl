struct LightShift {
    gain: vec3f,
}

fn op_light_shift(p: LightShift, rgb: vec3f) -> vec3f {
    return rgb * p.gain;
}
