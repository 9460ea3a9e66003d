//!use edges/dither.wgsl
//!use edges/tables.wgsl

// Blue noise out of a square of 64 by 64, which stands first among the tables and is moved from frame to frame and from
// channel to channel: crate `frame` makes it and names its source.

fn in_square(at: vec2u, step: u32) -> u32 {
    let moved = (at + (vec2u(step) * vec2u(0xc13fa9a9u, 0x91e10da5u) >> vec2u(26u))) & vec2u(63u);
    return u32(tables[moved.y * 64u + moved.x]);
}

fn blue_noise_at(at: vec2u, frame: u32) -> Noise {
    let step = frame * 3u;
    let both = vec3u(in_square(at, step), in_square(at, step + 1u), in_square(at, step + 2u));
    // The rank in the low bits, the place of the triangular noise among the odd 4096ths in the high ones.
    let flat = vec3f(vec3i(both & vec3u(4095u))) * (1.0 / 4096.0) - (0.5 - 1.0 / 8192.0);
    let triangular = vec3f(vec3i(both >> vec3u(12u))) * (1.0 / 2048.0) - (4095.0 / 4096.0);
    return Noise(flat, triangular);
}
