//!use shared/lut.wgsl

// A 3D table, red changing first, by all eight corners of a cell: along red, then green, then blue.

struct TrilinearLut {
    low: vec3f,
    high: vec3f,
    scale: vec3f,
    start: u32,
    size: u32,
}

fn trilinear_edge(start: u32, corner: u32, part: f32) -> vec3f {
    return lut_entry(start, corner) * (1.0 - part) + lut_entry(start, corner + 1u) * part;
}

fn trilinear_side(p: TrilinearLut, corner: u32, part: vec3f) -> vec3f {
    let near = trilinear_edge(p.start, corner, part.x);
    let far = trilinear_edge(p.start, corner + p.size, part.x);
    return near * (1.0 - part.y) + far * part.y;
}

fn lut_trilinear(p: TrilinearLut, rgb: vec3f) -> vec3f {
    let place = lut_place(rgb, p.low, p.high, p.scale, p.size);
    let corner = dot(place.cell, vec3u(1u, p.size, p.size * p.size));
    let near = trilinear_side(p, corner, place.part);
    let far = trilinear_side(p, corner + p.size * p.size, place.part);
    return near * (1.0 - place.part.z) + far * place.part.z;
}
