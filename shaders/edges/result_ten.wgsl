//!use edges/words.wgsl
//!use edges/alpha.wgsl

// Writing 10 bits a channel, one word a pixel, four pixels at a time. Codes round half up and end at their range.

@group(0) @binding(3) var<storage, read_write> result: array<vec4u>;

// Half an ulp of code above the value, so that a tie is rounded up.
const TIE: f32 = 0.00006103515625;

// Adding 2^23 leaves a whole number in the low bits of the float, rounded to the nearest.
const WHOLE: f32 = 8388608.0;

fn ten_word(rgba: vec4f, swap: bool) -> u32 {
    let scaled = clamp(rgba.rgb, vec3f(0.0), vec3f(1.0)) * 1023.0 + TIE;
    let code = bitcast<vec3u>(scaled + WHOLE) & vec3u(1023u);
    let word = (code.r << 22u) | (code.g << 12u) | (code.b << 2u);
    return select(word, swap_bytes(word), swap);
}

fn store_ten(four: u32, a: vec4f, b: vec4f, c: vec4f, d: vec4f, swap: bool) {
    result[four] = vec4u(ten_word(a, swap), ten_word(b, swap), ten_word(c, swap), ten_word(d, swap));
}
