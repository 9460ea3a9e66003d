struct Saturation {
    matrix: mat3x3f,
}

fn op_saturation(p: Saturation, rgb: vec3f) -> vec3f {
    return p.matrix * rgb;
}
