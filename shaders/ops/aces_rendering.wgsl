//!use shared/aces2.wgsl

struct AcesRendering {
    cones: mat3x3f,
    opponent: mat3x3f,
    responses: mat3x3f,
    limiting: mat3x3f,
    most_scene: f32,
    white_response: f32,
    exponent: f32,
    bend: f32,
    ceiling: f32,
    contrast: f32,
    toe: f32,
    cone_of_one: f32,
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

fn op_aces_rendering(p: AcesRendering, rgb: vec3f) -> vec3f {
    let light = clamp(rgb, vec3f(0.0), vec3f(p.most_scene));
    let colour = p.opponent * aces2_response(p.cones * light);
    if (colour.x <= 0.0) {
        return vec3f(0.0);
    }
    let root = 1.0 / p.exponent;
    let m = length(colour.yz);
    let hue = aces2_hue(colour.y, colour.z);
    let direction = select(vec2f(1.0, 0.0), colour.yz / m, m > 0.0);

    // Tone scale, on the grey of the same achromatic response.
    let grey = aces2_cone(vec3f(p.white_response * colour.x)).x;
    let f = p.ceiling * aces2_power(grey / (grey + p.bend), p.contrast);
    let toned = aces2_response(vec3f(p.cone_of_one * f * f / (f + p.toe))).x / p.white_response;
    let j = 100.0 * aces2_power(toned, p.exponent);

    // Chroma compression. Colourfulness follows lightness, whose exponent cancels against the achromatic response's.
    let reach = aces2_reach(p.start, hue);
    let norm = aces2_norm(p.norm_scale, direction.y, direction.x);
    let share = j / p.most_j;
    let rest = max(0.0, 1.0 - share);
    let limit = aces2_power(share, root) * reach / norm;
    let followed = m * (toned / colour.x) / norm;
    let expanded = limit - aces2_toe(limit - followed, limit - 0.001, rest * p.expansion, sqrt(share * share + p.threshold));
    var held = vec2f(j, norm * aces2_toe(expanded, limit, share * p.compression, rest));

    // Gamut compression.
    if (held.y <= 0.0 || j > p.most_j) {
        held.y = 0.0;
    } else {
        let cusp = aces2_cusp(p.start, hue);
        let line = aces2_line(j, held.y, j, cusp, p.most_j, p.middle_j, p.far, p.lower, root, reach);
        let proportion = max(line.z / line.w, ACES2_THRESHOLD);
        let threshold = proportion * line.z;
        if (line.z <= 0.0) {
            held.y = 0.0;
        } else {
            if (held.y > threshold && proportion < 1.0) {
                let reached = line.w - threshold;
                let scale = reached / (reached / (line.z - threshold) - 1.0);
                let over = (held.y - threshold) / scale;
                held.y = threshold + scale * over / (1.0 + over);
            }
            held.x = line.x + held.y * line.y;
        }
    }
    let achromatic = aces2_power(held.x / 100.0, root);
    let shown = p.limiting * aces2_cone(p.responses * vec3f(achromatic, held.y * direction));
    return clamp(shown, vec3f(0.0), vec3f(1.0)) * p.peak;
}
