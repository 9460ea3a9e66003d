// Dither: noise added before a value is rounded to a code, the same as crate `frame` adds.

// Noise of red, green and blue, in codes: evenly spread between -1/2 and 1/2, and between -1 and 1, rarer farther from 0.
struct Noise {
    flat: vec3f,
    triangular: vec3f,
}

// Column and row in the frame of a pixel of a piece. One division, which is dear.
fn place_in_frame(index: u32, width: u32, left: u32, top: u32) -> vec2u {
    let row = index / width;
    return vec2u(left + index - row * width, top + row);
}

// Stored values to shares of the highest code that are whole codes. Half a code from either end, from black and from
// white the flat noise takes over; within a 64th nothing is added, so that they stay what they are.
fn dithered(stored: vec3f, highest: f32, black: f32, white: f32, noise: Noise) -> vec3f {
    let value = clamp(stored, vec3f(0.0), vec3f(1.0)) * highest;
    let from_ends = min(value, highest - value);
    let away = min(from_ends, min(abs(value - black * highest), abs(value - white * highest)));
    let most = select(noise.triangular, noise.flat, away < vec3f(0.5));
    let added = select(most, vec3f(0.0), away < vec3f(0.015625));
    // The whole codes are set aside, so that the sum keeps the last bits of the noise.
    let whole = floor(value);
    return (whole + floor(value - whole + added + 0.5)) / highest;
}
