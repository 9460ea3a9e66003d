struct Flare {
    veil: vec3f,
}

fn op_flare(p: Flare, rgb: vec3f) -> vec3f {
    return rgb - p.veil;
}
