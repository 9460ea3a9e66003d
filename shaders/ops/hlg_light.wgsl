//!use shared/powers.wgsl

struct HlgLight {
    scale: f32,
    black: f32,
    exponent: f32,
    weights: vec3f,
    gain: f32,
}

// Optical-optical transfer, Fd = Lw * E * |Ys|^(gamma - 1), or its inverse, E = Fd/Lw * |Yd/Lw|^((1 - gamma) / gamma).
// Luminance at or next to zero is held off zero, so that the negative exponent stays finite.
fn op_hlg_light(p: HlgLight, rgb: vec3f) -> vec3f {
    let light = rgb * p.scale + p.black;
    let luminance = max(abs(dot(p.weights, light)), 1e-30);
    return light * p.gain * finite_exp2(p.exponent * finite_log2(vec3f(luminance)));
}
