//!use shared/aces2.wgsl

// Beyond the pole of the inverse, what the standard gives there.
fn aces_scene_further(line: Aces2Line, m: f32) -> f32 {
    let remap = aces2_remap(line);
    let over = m - remap.threshold;
    let left = remap.room - over * remap.outer;
    let moved = remap.threshold + select(remap.room / max(remap.outer, 1e-30), over * remap.room / max(left, 1e-30), left > 0.0);
    return select(moved, m, remap.is_none || over <= 0.0);
}

// Lightness and colourfulness before the gamut compression, by the line of a lightness.
fn aces_scene_wider(p: Aces2, hue: Aces2Hue, held: vec2f, line_j: f32) -> vec2f {
    let line = aces2_line(p, hue, min(held.x, 1.0), held.y, line_j);
    let m = aces_scene_further(line, held.y);
    return select(vec2f(line.axis + line.slope * m, m), vec2f(held.x, 0.0), held.x > 1.0 || line.gamut <= 0.0);
}

fn op_aces_scene(p: Aces2, rgb: vec3f) -> vec3f {
    let seen = p.opponent * aces2_responses(p.cones * clamp(rgb, vec3f(0.0), vec3f(p.most)));
    let direction = aces2_direction(seen.yz);
    let hue = aces2_hue(p, direction);
    let held = vec2f(exp2(ACES2_LIGHTNESS * (finite_log2_of(seen.x) - p.peak)), dot(seen.yz, direction));

    // Above a lightness between the cusp's and the peak's the line depends on the lightness that is sought: as the
    // standard has it, a first answer stands for it.
    var line_j = held.x;
    if held.x > mix(hue.cusp_j, 1.0, 0.3) {
        line_j = aces_scene_wider(p, hue, held, held.x).x;
    }
    let wider = aces_scene_wider(p, hue, held, line_j);

    let toned = exp2((1.0 / ACES2_LIGHTNESS) * finite_log2_of(wider.x)) / p.of_peak;
    let response = aces2_untoned(p, toned);

    // The chroma compression undone.
    let cap = toned * p.of_peak * hue.reach;
    let toes = aces2_toes(p, wider.x, cap, hue.wave);
    let followed = cap - aces2_toe_inverse(toes.shadow, cap - aces2_toe_inverse(toes.light, wider.y));
    let m = followed * response / max(toned, 1e-30);
    let scene = p.light * aces2_cones(p.responses * vec3f(response, m * direction));
    return clamp(scene, vec3f(0.0), vec3f(ACES2_MOST));
}
