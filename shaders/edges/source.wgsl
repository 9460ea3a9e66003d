//!use edges/words.wgsl
//!use edges/alpha.wgsl

// Reading a pixel as it is stored: value (integers as a share of their highest code) and alpha.

@group(0) @binding(2) var<storage, read> source: array<u32>;

// One of the 16-bit samples.
fn load_sixteen(sample: u32, swap: bool) -> u32 {
    let stored = source[sample >> 1u];
    let word = select(stored, swap_halves(stored), swap);
    return (word >> ((sample & 1u) * 16u)) & 0xffffu;
}

// Codes in the low bits of 16-bit words, as a share of the highest one.
fn load_codes_rgb(pixel: u32, swap: bool, highest: f32) -> vec4f {
    let at = pixel * 3u;
    let code = vec3u(load_sixteen(at, swap), load_sixteen(at + 1u, swap), load_sixteen(at + 2u, swap));
    return vec4f(vec3f(vec3i(code)) / highest, 1.0);
}

fn load_codes_rgba(pixel: u32, swap: bool, highest: f32) -> vec4f {
    let at = pixel * 4u;
    let rg = vec2u(load_sixteen(at, swap), load_sixteen(at + 1u, swap));
    let ba = vec2u(load_sixteen(at + 2u, swap), load_sixteen(at + 3u, swap));
    return vec4f(vec4i(vec4u(rg, ba))) / highest;
}

fn load_half(sample: u32, swap: bool) -> f32 {
    return unpack2x16float(load_sixteen(sample, swap)).x;
}

fn load_half_rgb(pixel: u32, swap: bool) -> vec4f {
    let at = pixel * 3u;
    return vec4f(load_half(at, swap), load_half(at + 1u, swap), load_half(at + 2u, swap), 1.0);
}

fn load_half_rgba(pixel: u32, swap: bool) -> vec4f {
    let at = pixel * 4u;
    return vec4f(load_half(at, swap), load_half(at + 1u, swap), load_half(at + 2u, swap), load_half(at + 3u, swap));
}

fn load_single(sample: u32, swap: bool) -> f32 {
    let stored = source[sample];
    return bitcast<f32>(select(stored, swap_bytes(stored), swap));
}

fn load_float_rgb(pixel: u32, swap: bool) -> vec4f {
    let at = pixel * 3u;
    return vec4f(load_single(at, swap), load_single(at + 1u, swap), load_single(at + 2u, swap), 1.0);
}

fn load_float_rgba(pixel: u32, swap: bool) -> vec4f {
    let at = pixel * 4u;
    return vec4f(load_single(at, swap), load_single(at + 1u, swap), load_single(at + 2u, swap), load_single(at + 3u, swap));
}
