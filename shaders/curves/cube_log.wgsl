//!use shared/powers.wgsl

// Logarithm above a break, cube root below it.

struct CubeLogDecode {
    power: f32,
    shift: f32,
    cube_scale: f32,
    cube_offset: f32,
    cut: f32,
}

fn cube_log_decode(p: CubeLogDecode, code: vec3f) -> vec3f {
    let root = code * p.cube_scale;
    let cube = root * root * root + p.cube_offset;
    let curve = finite_exp2(code * p.power + p.shift);
    return select(cube, curve, code >= vec3f(p.cut));
}

struct CubeLogEncode {
    slope: f32,
    shift: f32,
    cube_scale: f32,
    cube_offset: f32,
    cut: f32,
}

fn cube_log_encode(p: CubeLogEncode, light: vec3f) -> vec3f {
    let cube = signed_root(light + p.cube_offset, 1.0 / 3.0) * p.cube_scale;
    return select(cube, finite_log2(light) * p.slope + p.shift, light >= vec3f(p.cut));
}
