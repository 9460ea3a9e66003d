//!use shared/pq.wgsl

// The perceptual quantiser, mirrored about zero, along its tangent from code 1.2 on.

struct PqDecode {
    scale: f32,
    top: f32,
    top_light: f32,
    top_slope: f32,
}

fn pq_decode(p: PqDecode, code: vec3f) -> vec3f {
    let size = abs(code);
    let light = pq_ratio(min(size, vec3f(p.top))) * p.scale;
    let beyond = p.top_light + (size - p.top) * p.top_slope;
    return sign(code) * select(light, beyond, size > vec3f(p.top));
}

struct PqEncode {
    scale: f32,
    top: f32,
    top_light: f32,
    top_slope: f32,
}

fn pq_encode(p: PqEncode, light: vec3f) -> vec3f {
    let size = abs(light);
    let code = pq_code(min(size, vec3f(p.top_light)) * p.scale);
    let beyond = p.top + (size - p.top_light) * p.top_slope;
    // Black is code 7.3e-7, not zero.
    let side = select(vec3f(-1.0), vec3f(1.0), light >= vec3f(0.0));
    return side * select(code, beyond, size > vec3f(p.top_light));
}
