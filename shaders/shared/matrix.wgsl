// Several matrices and gains of a chain, multiplied into one when the plan was made.

struct Matrix {
    matrix: mat3x3f,
}

fn shared_matrix(p: Matrix, rgb: vec3f) -> vec3f {
    return p.matrix * rgb;
}
