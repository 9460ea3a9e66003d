//!use shared/aces2.wgsl

fn aces_rendering_nearer(line: Aces2Line, m: f32) -> f32 {
    let remap = aces2_remap(line);
    let over = m - remap.threshold;
    let moved = remap.threshold + over * remap.room / (remap.room + over * remap.outer);
    return select(moved, m, remap.is_none || over <= 0.0);
}

// Whether a colour is so far within the gamut that nothing moves it: well within the triangle of black, cusp and white,
// and not next to white.
fn aces_rendering_is_within(hue: Aces2Hue, j: f32, m: f32) -> bool {
    let least = 0.4 * hue.cusp_m;
    return m * hue.cusp_j < least * j && m * (1.0 - hue.cusp_j) < least * (1.0 - j) && j < 0.98;
}

fn op_aces_rendering(p: Aces2, rgb: vec3f) -> vec3f {
    let seen = p.opponent * aces2_responses(p.cones * clamp(rgb, vec3f(0.0), vec3f(ACES2_MOST)));
    let direction = aces2_direction(seen.yz);
    let hue = aces2_hue(p, direction);

    // Colourfulness follows lightness through the tone scale, whose exponent cancels against the achromatic response's;
    // then it is compressed.
    let toned = aces2_toned(p, seen.x);
    let follows = exp2(toned.y - toned.x);
    let j = exp2(ACES2_LIGHTNESS * (toned.y - p.peak));
    let grey = seen.x * follows * p.of_peak;
    let cap = grey * hue.reach;
    let toes = aces2_toes(p, j, cap, hue.wave);
    let m = dot(seen.yz, direction) * follows;
    let chroma = aces2_toe(toes.light, cap - aces2_toe(toes.shadow, cap - m));

    var held = vec2f(grey, chroma);
    if !aces_rendering_is_within(hue, j, chroma) {
        let line = aces2_line(p, hue, min(j, 1.0), chroma, j);
        let is_grey = j > 1.0 || line.gamut <= 0.0;
        let m = select(aces_rendering_nearer(line, chroma), 0.0, is_grey);
        let held_j = select(line.axis + line.slope * m, j, is_grey);
        held = vec2f(exp2((1.0 / ACES2_LIGHTNESS) * finite_log2_of(held_j)), m);
    }
    let shown = p.light * aces2_cones(p.responses * vec3f(held.x, held.y * direction));
    return clamp(shown, vec3f(0.0), vec3f(p.most));
}
