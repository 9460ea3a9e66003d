//!use shared/aces2.wgsl

struct AcesScene {
    cones: mat3x3f,
    opponent: mat3x3f,
    responses: mat3x3f,
    scene: mat3x3f,
    most_scene: f32,
    white_response: f32,
    exponent: f32,
    bend: f32,
    ceiling: f32,
    contrast: f32,
    toe: f32,
    cone_of_one: f32,
    most_display: f32,
    most_j: f32,
    expansion: f32,
    threshold: f32,
    compression: f32,
    norm_scale: f32,
    middle_j: f32,
    far: f32,
    lower: f32,
    peak: f32,
    start: u32,
}

// Lightness and colourfulness before the gamut compression.
fn aces_scene_wider(p: AcesScene, held: vec2f, line_j: f32, cusp: vec3f, reach: f32) -> vec2f {
    let line = aces2_line(held.x, held.y, line_j, cusp, p.most_j, p.middle_j, p.far, p.lower, 1.0 / p.exponent, reach);
    if (line.z <= 0.0) {
        return vec2f(held.x, 0.0);
    }
    let proportion = max(line.z / line.w, ACES2_THRESHOLD);
    let threshold = proportion * line.z;
    var m = held.y;
    if (m > threshold && proportion < 1.0) {
        let reached = line.w - threshold;
        let scale = reached / (reached / (line.z - threshold) - 1.0);
        let over = (m - threshold) / scale;
        m = threshold + scale * select(over / max(1.0 - over, 6e-8), 1.0, over >= 1.0);
    }
    return vec2f(line.x + m * line.y, m);
}

fn op_aces_scene(p: AcesScene, rgb: vec3f) -> vec3f {
    let light = clamp(rgb / p.peak, vec3f(0.0), vec3f(1.0));
    let colour = p.opponent * aces2_response(p.cones * light);
    if (colour.x <= 0.0) {
        return vec3f(0.0);
    }
    let root = 1.0 / p.exponent;
    let length_m = length(colour.yz);
    let hue = aces2_hue(colour.y, colour.z);
    let direction = select(vec2f(1.0, 0.0), colour.yz / length_m, length_m > 0.0);
    let reach = aces2_reach(p.start, hue);
    let j = 100.0 * aces2_power(colour.x, p.exponent);

    // Gamut compression undone.
    var held = vec2f(j, length_m);
    if (held.y <= 0.0 || j > p.most_j) {
        held.y = 0.0;
    } else {
        let cusp = aces2_cusp(p.start, hue);
        var line_j = j;
        if (j > mix(cusp.x, p.most_j, ACES2_FOCUS_BLEND)) {
            line_j = aces_scene_wider(p, held, j, cusp, reach).x;
        }
        held = aces_scene_wider(p, held, line_j, cusp, reach);
    }

    // Tone scale undone.
    let toned = aces2_power(held.x / 100.0, root);
    let z = clamp(aces2_cone(vec3f(p.white_response * toned)).x / p.cone_of_one, 0.0, p.most_display);
    let f = 0.5 * (z + sqrt(z * (z + 4.0 * p.toe)));
    let grey = p.bend / (aces2_power(p.ceiling / max(f, 1e-30), 1.0 / p.contrast) - 1.0);
    let achromatic = aces2_response(vec3f(grey)).x / p.white_response;

    // Chroma compression undone.
    let norm = aces2_norm(p.norm_scale, direction.y, direction.x);
    let share = held.x / p.most_j;
    let rest = max(0.0, 1.0 - share);
    let limit = aces2_power(share, root) * reach / norm;
    let expanded = aces2_toe_inverse(held.y / norm, limit, share * p.compression, rest);
    let followed = limit - aces2_toe_inverse(limit - expanded, limit - 0.001, rest * p.expansion, sqrt(share * share + p.threshold));
    let m = norm * followed * (achromatic / max(toned, 1e-30));
    let seen = p.scene * aces2_cone(p.responses * vec3f(achromatic, m * direction));
    return clamp(seen, vec3f(0.0), vec3f(p.most_scene));
}
