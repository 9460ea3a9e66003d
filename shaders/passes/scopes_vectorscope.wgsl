//!use passes/scopes_plane.wgsl

struct Vectorscope {
    @align(16) across: Axis,
    @align(16) up: Axis,
    @align(16) plane: Plane,
    @align(16) cb: vec3f,
    @align(16) cr: vec3f,
    @align(16) code_cb: vec3i,
    @align(16) code_cr: vec3i,
    middle: i32,
}

fn vectorscope_cell(p: Vectorscope, rgb: vec3f) -> Cell {
    let cb = p.cb.x * rgb.x + p.cb.y * rgb.y + p.cb.z * rgb.z;
    let cr = p.cr.x * rgb.x + p.cr.y * rgb.y + p.cr.z * rgb.z;
    return plane_cell(p.plane, slot_of(p.across, cb), slot_of(p.up, cr));
}

// The shift keeps the sign.
fn vectorscope_code(row: vec3i, middle: i32, code: vec3i) -> i32 {
    return middle + ((row.x * code.x + row.y * code.y + row.z * code.z + 16384) >> 15u);
}

fn vectorscope_code_cell(p: Vectorscope, code: vec3i) -> Cell {
    let cb = vectorscope_code(p.code_cb, p.middle, code);
    let cr = vectorscope_code(p.code_cr, p.middle, code);
    return plane_cell(p.plane, slot_of_code(p.across, cb), slot_of_code(p.up, cr));
}
