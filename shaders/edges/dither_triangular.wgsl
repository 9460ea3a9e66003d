//!use edges/dither.wgsl

// Triangular noise out of a hash of place, frame and channel: crate `frame` names its source.

fn stirred(v: vec3u) -> vec3u {
    let x = v.x + v.y * v.z;
    let y = v.y + v.z * x;
    let z = v.z + x * y;
    return vec3u(x, y, z);
}

fn triangular_noise_at(at: vec2u, frame: u32) -> Noise {
    let first = stirred(vec3u(at, frame) * 1664525u + 1013904223u);
    let hash = stirred(first ^ (first >> vec3u(16u)));
    // Shares of 2048 and of 1024 steps, in the middle of each; exact in single float.
    let one = vec3f(vec3i(hash >> vec3u(21u))) * (1.0 / 2048.0) + (1.0 / 4096.0);
    let other = vec3f(vec3i((hash >> vec3u(11u)) & vec3u(1023u))) * (1.0 / 1024.0) + (1.0 / 2048.0);
    return Noise(one - 0.5, one - other);
}
