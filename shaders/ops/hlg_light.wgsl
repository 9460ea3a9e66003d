//!use shared/powers.wgsl

struct HlgLight {
    scale: f32,
    exponent: f32,
    weights: vec3f,
}

// Inverse optical-optical transfer: E = Fd/Lw * (Yd/Lw)^((1 - gamma) / gamma).
fn op_hlg_light(p: HlgLight, rgb: vec3f) -> vec3f {
    let light = rgb * p.scale;
    let luminance = dot(p.weights, light);
    let gain = finite_exp2(p.exponent * finite_log2(vec3f(luminance)));
    return select(vec3f(0.0), light * gain, luminance > 0.0);
}
