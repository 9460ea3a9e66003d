// Several matrices, gains and offsets of a chain, made one when the plan was made.

struct Matrix {
    matrix: mat3x3f,
    offset: vec3f,
}

fn shared_matrix(p: Matrix, rgb: vec3f) -> vec3f {
    return fma(p.matrix[0], vec3f(rgb.r), fma(p.matrix[1], vec3f(rgb.g), fma(p.matrix[2], vec3f(rgb.b), p.offset)));
}

struct Channels {
    gain: vec3f,
    offset: vec3f,
}

fn shared_channels(p: Channels, rgb: vec3f) -> vec3f {
    return rgb * p.gain + p.offset;
}
