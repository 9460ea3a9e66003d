//!use shared/lut.wgsl

// A 3D table, red changing first, by the four corners that lie on the way from the low corner of a cell to its high
// one along the three edges, that of the largest part first.

struct TetrahedralLut {
    low: vec3f,
    high: vec3f,
    scale: vec3f,
    start: u32,
    size: u32,
}

fn lut_tetrahedral(p: TetrahedralLut, rgb: vec3f) -> vec3f {
    let place = lut_place(rgb, p.low, p.high, p.scale, p.size);
    let strides = vec3u(1u, p.size, p.size * p.size);
    let corner = dot(place.cell, strides);
    var part = place.part;
    var stride = strides;
    if part.x < part.y {
        part = part.yxz;
        stride = stride.yxz;
    }
    if part.y < part.z {
        part = part.xzy;
        stride = stride.xzy;
    }
    if part.x < part.y {
        part = part.yxz;
        stride = stride.yxz;
    }
    let second = corner + stride.x;
    let third = second + stride.y;
    return lut_entry(p.start, corner) * (1.0 - part.x)
        + lut_entry(p.start, second) * (part.x - part.y)
        + lut_entry(p.start, third) * (part.y - part.z)
        + lut_entry(p.start, third + stride.z) * part.z;
}
