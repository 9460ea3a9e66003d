// A picture, or two, on a window: codes as they are, shrunk by the mean of what a screen pixel covers, grown without blending.

struct Screen {
    // The piece of the picture that the buffers hold: left, top, width, height.
    piece: vec4u,
    // The place in the picture of the window's left upper corner, in picture pixels.
    corner: vec2f,
    // Picture pixels to a screen pixel, across and down.
    step: vec2f,
    // Where the second picture begins, in screen pixels from the left.
    seam: f32,
    // What is seen right of the seam: 0 the second picture, 1 how far it is from the first.
    kind: u32,
    // 10-bit codes that are as far apart as the scale of differences goes.
    most: f32,
}

@group(0) @binding(0) var<uniform> screen: Screen;
@group(0) @binding(1) var<storage, read> first: array<u32>;
@group(0) @binding(2) var<storage, read> second: array<u32>;

// Most picture pixels of a side that one screen pixel is the mean of; further ones are passed over evenly.
const MOST_SAMPLES: i32 = 12;

@vertex
fn corners(@builtin(vertex_index) index: u32) -> @builtin(position) vec4f {
    // One triangle that covers everything.
    let corner = vec2f(f32((index << 1u) & 2u), f32(index & 2u));
    return vec4f(corner * 2.0 - 1.0, 0.0, 1.0);
}

fn codes(word: u32) -> vec3f {
    return vec3f(f32(word >> 22u), f32((word >> 12u) & 1023u), f32((word >> 2u) & 1023u));
}

fn place_of(at: vec2i) -> i32 {
    return at.y * i32(screen.piece.z) + at.x;
}

fn is_inside(at: vec2i) -> bool {
    return all(at >= vec2i(0)) && all(at < vec2i(screen.piece.zw));
}

// The largest step of a channel, in 10-bit codes.
fn apart(a: vec3f, b: vec3f) -> f32 {
    let step = abs(a - b);
    return max(step.x, max(step.y, step.z));
}

// One hue, darker to lighter: black is the same.
fn heat(codes: f32) -> vec3f {
    let share = clamp(codes / screen.most, 0.0, 1.0);
    let low = mix(vec3f(0.0), vec3f(0.05, 0.25, 0.55), clamp(share * 2.0, 0.0, 1.0));
    return mix(low, vec3f(0.85, 0.93, 1.0), clamp(share * 2.0 - 1.0, 0.0, 1.0));
}

@fragment
fn shade(@builtin(position) at: vec4f) -> @location(0) vec4f {
    let left_top = screen.corner + (at.xy - 0.5) * screen.step - vec2f(screen.piece.xy);
    let middle = vec2i(floor(left_top + 0.5 * screen.step));
    if !is_inside(middle) {
        discard;
    }
    let is_second = at.x >= screen.seam;
    let is_difference = is_second && screen.kind == 1u;
    let count = clamp(vec2i(ceil(screen.step)), vec2i(1), vec2i(MOST_SAMPLES));
    if all(count == vec2i(1)) && !is_difference {
        // Most pictures, most of the time: no mean.
        let place = place_of(middle);
        if is_second {
            return vec4f(codes(second[place]) / 1023.0, 1.0);
        }
        return vec4f(codes(first[place]) / 1023.0, 1.0);
    }
    var sum = vec3f(0.0);
    var samples = 0.0;
    // Of many pixels the largest step is seen: a mean would hide one that is off.
    var largest = 0.0;
    for (var row = 0; row < count.y; row++) {
        for (var column = 0; column < count.x; column++) {
            let offset = (vec2f(vec2i(column, row)) + 0.5) / vec2f(count) * screen.step;
            let pixel = vec2i(floor(left_top + offset));
            if is_inside(pixel) {
                let place = place_of(pixel);
                if is_difference {
                    largest = max(largest, apart(codes(first[place]), codes(second[place])));
                } else if is_second {
                    sum += codes(second[place]);
                } else {
                    sum += codes(first[place]);
                }
                samples += 1.0;
            }
        }
    }
    if is_difference {
        return vec4f(heat(largest), 1.0);
    }
    return vec4f(sum / samples / 1023.0, 1.0);
}
