// Writing for a later pass: four floats a pixel.

@group(0) @binding(3) var<storage, read_write> result: array<vec4f>;

fn store_between(pixel: u32, rgba: vec4f) {
    result[pixel] = rgba;
}
