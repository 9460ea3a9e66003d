//!use passes/scopes_plane.wgsl

// A chromaticity diagram: two quotients of sums of linear light.

struct Chromaticity {
    @align(16) across: Axis,
    @align(16) up: Axis,
    @align(16) plane: Plane,
    @align(16) sum_across: vec3f,
    @align(16) sum_up: vec3f,
    @align(16) sum_below: vec3f,
    @align(16) luminance: vec3f,
    darkest: f32,
}

fn chromaticity_sum(row: vec3f, light: vec3f) -> f32 {
    return row.x * light.x + row.y * light.y + row.z * light.z;
}

fn chromaticity_cell(p: Chromaticity, light: vec3f) -> Cell {
    let luminance = chromaticity_sum(p.luminance, light);
    let below = chromaticity_sum(p.sum_below, light);
    if is_not_a_number(luminance) || is_not_a_number(below) {
        return plane_apart(p.plane, p.plane.apart);
    }
    if luminance <= p.darkest || below <= 0.0 {
        return plane_apart(p.plane, p.plane.dark);
    }
    let across = slot_of(p.across, chromaticity_sum(p.sum_across, light) / below);
    let up = slot_of(p.up, chromaticity_sum(p.sum_up, light) / below);
    return plane_cell(p.plane, across, up);
}
