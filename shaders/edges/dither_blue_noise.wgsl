//!use edges/dither.wgsl
//!use edges/tables.wgsl

// Blue noise out of a square of 64 by 64, which stands first among the tables and is moved from frame to frame and from
// channel to channel: crate `frame` makes it and names its source.

fn place_in_square(at: vec2u, step: u32) -> u32 {
    let moved = (at + (vec2u(step) * vec2u(0xc13fa9a9u, 0x91e10da5u) >> vec2u(26u))) & vec2u(63u);
    return (moved.y * 64u + moved.x) * 2u;
}

fn noise_at(at: vec2u, frame: u32) -> Noise {
    let red = place_in_square(at, frame * 3u);
    let green = place_in_square(at, frame * 3u + 1u);
    let blue = place_in_square(at, frame * 3u + 2u);
    return Noise(
        vec3f(tables[red], tables[green], tables[blue]),
        vec3f(tables[red + 1u], tables[green + 1u], tables[blue + 1u]),
    );
}
