// Reading what an earlier pass wrote: four floats a pixel.

@group(0) @binding(2) var<storage, read> source: array<vec4f>;

fn load_between(pixel: u32) -> vec4f {
    return source[pixel];
}
