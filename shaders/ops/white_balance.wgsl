struct WhiteBalance {
    matrix: mat3x3f,
}

fn op_white_balance(p: WhiteBalance, rgb: vec3f) -> vec3f {
    return p.matrix * rgb;
}
