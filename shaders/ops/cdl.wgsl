//!use shared/powers.wgsl

struct Cdl {
    slope: vec3f,
    offset: vec3f,
    power: vec3f,
    grey: vec3f,
    saturation: f32,
}

// v^power for what is above zero; the rest passes, and so does everything at power 1, to the bit.
fn cdl_power(p: Cdl, v: vec3f) -> vec3f {
    let raised = finite_exp2(p.power * finite_log2(v));
    return select(v, raised, (v > vec3f(0.0)) & (p.power != vec3f(1.0)));
}

// luma + saturation (v - luma), with luma's weights scaled beforehand.
fn cdl_saturation(p: Cdl, v: vec3f) -> vec3f {
    return v * p.saturation + dot(p.grey, v);
}

fn op_cdl(p: Cdl, rgb: vec3f) -> vec3f {
    return cdl_saturation(p, cdl_power(p, rgb * p.slope + p.offset));
}

fn op_cdl_clamped(p: Cdl, rgb: vec3f) -> vec3f {
    let v = cdl_power(p, saturate(rgb * p.slope + p.offset));
    return saturate(cdl_saturation(p, v));
}
