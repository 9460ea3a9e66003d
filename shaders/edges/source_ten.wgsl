//!use edges/words.wgsl
//!use edges/alpha.wgsl

// Reading 10 bits a channel, one word a pixel: red in the top bits, two low bits of padding. Four
// pixels at a time, since memory is quickest in pieces of sixteen bytes.

@group(0) @binding(2) var<storage, read> source: array<vec4u>;

// Pixel `lane` of the four that group `four` holds.
fn load_ten(four: u32, lane: u32, swap: bool) -> vec4f {
    let stored = source[four][lane];
    let word = select(stored, swap_bytes(stored), swap);
    let code = vec3u(word >> 22u, word >> 12u, word >> 2u) & vec3u(1023u);
    // Signed integers convert quicker than unsigned ones, and a product is quicker than a quotient.
    return vec4f(vec3f(vec3i(code)) * (1.0 / 1023.0), 1.0);
}
