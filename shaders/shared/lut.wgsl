//!use edges/tables.wgsl

// Where a colour lies in a table: the cell of each channel, and how far into it.
struct LutPlace {
    cell: vec3u,
    part: vec3f,
}

// The high end is the end of the last cell. What is held between the ends first cannot overflow after.
fn lut_place(rgb: vec3f, low: vec3f, high: vec3f, scale: vec3f, size: u32) -> LutPlace {
    let at = (clamp(rgb, low, high) - low) * scale;
    let cell = min(vec3u(at), vec3u(size - 2u));
    return LutPlace(cell, at - vec3f(cell));
}

// Entries are three numbers each.
fn lut_entry(start: u32, number: u32) -> vec3f {
    let at = start + 3u * number;
    return vec3f(tables[at], tables[at + 1u], tables[at + 2u]);
}
