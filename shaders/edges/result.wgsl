//!use edges/words.wgsl
//!use edges/alpha.wgsl

// Writing pixels as they are stored. Integers round half up and end at their range; half floats
// round to the nearest even and end at the largest finite one.

@group(0) @binding(3) var<storage, read_write> result: array<u32>;

fn store_two_sixteens(word_at: u32, low: u32, high: u32, swap: bool) {
    let word = low | (high << 16u);
    result[word_at] = select(word, swap_halves(word), swap);
}

// The nearest codes, as whole numbers of a share of the highest one.
fn codes_of(rgba: vec4f, highest: f32) -> vec4u {
    return vec4u(floor(clamp(rgba, vec4f(0.0), vec4f(1.0)) * highest + 0.5));
}

// Two pixels of three samples are three words.
fn store_codes_rgb(pair: u32, first: vec4f, second: vec4f, swap: bool, highest: f32) {
    let a = codes_of(first, highest);
    let b = codes_of(second, highest);
    let at = pair * 3u;
    store_two_sixteens(at, a.r, a.g, swap);
    store_two_sixteens(at + 1u, a.b, b.r, swap);
    store_two_sixteens(at + 2u, b.g, b.b, swap);
}

fn store_codes_rgba(pixel: u32, rgba: vec4f, swap: bool, highest: f32) {
    let code = codes_of(rgba, highest);
    let at = pixel * 2u;
    store_two_sixteens(at, code.r, code.g, swap);
    store_two_sixteens(at + 1u, code.b, code.a, swap);
}

// The bits of the nearest half float, ties to even. Written out, since WGSL lets devices round either way.
fn half_bits(value: f32) -> u32 {
    let bits = bitcast<u32>(value);
    let sign = (bits >> 16u) & 0x8000u;
    let size = bits & 0x7fffffffu;
    // Above the largest half, 65504.
    if size > 0x477fe000u {
        return sign | 0x7bffu;
    }
    // Below 2^-14 halves are multiples of 2^-24, and so is the last bit of a float near one half.
    if size < 0x38800000u {
        return sign | (bitcast<u32>(bitcast<f32>(size) + 0.5) - 0x3f000000u);
    }
    let odd = (size >> 13u) & 1u;
    return sign | ((size + 0x0fffu + odd - 0x38000000u) >> 13u);
}

fn store_half_rgb(pair: u32, first: vec4f, second: vec4f, swap: bool) {
    let at = pair * 3u;
    store_two_sixteens(at, half_bits(first.r), half_bits(first.g), swap);
    store_two_sixteens(at + 1u, half_bits(first.b), half_bits(second.r), swap);
    store_two_sixteens(at + 2u, half_bits(second.g), half_bits(second.b), swap);
}

fn store_half_rgba(pixel: u32, rgba: vec4f, swap: bool) {
    let at = pixel * 2u;
    store_two_sixteens(at, half_bits(rgba.r), half_bits(rgba.g), swap);
    store_two_sixteens(at + 1u, half_bits(rgba.b), half_bits(rgba.a), swap);
}

fn store_single(at: u32, value: f32, swap: bool) {
    let word = bitcast<u32>(value);
    result[at] = select(word, swap_bytes(word), swap);
}

fn store_float_rgb(pixel: u32, rgba: vec4f, swap: bool) {
    let at = pixel * 3u;
    store_single(at, rgba.r, swap);
    store_single(at + 1u, rgba.g, swap);
    store_single(at + 2u, rgba.b, swap);
}

fn store_float_rgba(pixel: u32, rgba: vec4f, swap: bool) {
    let at = pixel * 4u;
    store_single(at, rgba.r, swap);
    store_single(at + 1u, rgba.g, swap);
    store_single(at + 2u, rgba.b, swap);
    store_single(at + 3u, rgba.a, swap);
}
