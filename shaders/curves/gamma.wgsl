//!use shared/powers.wgsl

// A pure power, mirrored about zero.

struct Gamma {
    exponent: f32,
}

fn gamma_curve(p: Gamma, value: vec3f) -> vec3f {
    return signed_power(value, p.exponent);
}
