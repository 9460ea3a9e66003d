//!use shared/lut.wgsl

// A 1D table: each channel by itself, straight between its entries.

struct ChannelsLut {
    low: vec3f,
    high: vec3f,
    scale: vec3f,
    start: u32,
    size: u32,
}

fn lut_channels(p: ChannelsLut, rgb: vec3f) -> vec3f {
    let place = lut_place(rgb, p.low, p.high, p.scale, p.size);
    let at = vec3u(p.start) + 3u * place.cell + vec3u(0u, 1u, 2u);
    let low = vec3f(tables[at.x], tables[at.y], tables[at.z]);
    let high = vec3f(tables[at.x + 3u], tables[at.y + 3u], tables[at.z + 3u]);
    return low * (1.0 - place.part) + high * place.part;
}
