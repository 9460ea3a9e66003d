//!use shared/powers.wgsl

struct GamutCompress {
    threshold: vec3f,
    scale: vec3f,
    of_scale: vec3f,
    power: f32,
    root: f32,
}

fn gamut_compress_largest(rgb: vec3f) -> f32 {
    return max(max(rgb.r, rgb.g), rgb.b);
}

// How far each channel is from grey, as a share of the largest; held finite where that is next to zero.
fn gamut_compress_distance(largest: f32, rgb: vec3f) -> vec3f {
    return min((largest - rgb) * (1.0 / max(abs(largest), 1e-30)), vec3f(1e30));
}

// x / (1 + x^p)^(1/p) by the smaller of x and 1/x, so that no power overflows.
fn gamut_compress_curve(p: GamutCompress, x: vec3f) -> vec3f {
    let raised = exp2(-p.power * abs(finite_log2(x)));
    return min(x, vec3f(1.0)) * exp2(-p.root * finite_log2(1.0 + raised));
}

fn op_gamut_compress(p: GamutCompress, rgb: vec3f) -> vec3f {
    let largest = gamut_compress_largest(rgb);
    let distance = gamut_compress_distance(largest, rgb);
    // Most pixels of a picture are within the thresholds.
    if all(distance < p.threshold) {
        return rgb;
    }
    let moved = p.threshold + p.scale * gamut_compress_curve(p, (distance - p.threshold) * p.of_scale);
    return select(largest - moved * abs(largest), rgb, distance < p.threshold);
}

// y / (1 - y^p)^(1/p); the difference is held at half a step of a float below one.
fn op_gamut_compress_inverse(p: GamutCompress, rgb: vec3f) -> vec3f {
    let largest = gamut_compress_largest(rgb);
    let distance = gamut_compress_distance(largest, rgb);
    if all(distance < p.threshold) {
        return rgb;
    }
    let y = (distance - p.threshold) * p.of_scale;
    let left = max(1.0 - exp2(p.power * finite_log2(min(y, vec3f(1.0)))), vec3f(6e-8));
    let moved = p.threshold + p.scale * y * exp2(-p.root * finite_log2(left));
    return select(largest - moved * abs(largest), rgb, (distance < p.threshold) | (y >= vec3f(1.0)));
}
