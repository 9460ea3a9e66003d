struct Exposure {
    gain: f32,
}

fn op_exposure(p: Exposure, rgb: vec3f) -> vec3f {
    return rgb * p.gain;
}
