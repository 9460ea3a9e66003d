struct ChangePrimaries {
    matrix: mat3x3f,
}

fn op_change_primaries(p: ChangePrimaries, rgb: vec3f) -> vec3f {
    return p.matrix * rgb;
}
