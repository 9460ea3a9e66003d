//!use shared/powers.wgsl
//!use edges/tables.wgsl

// What both ways of the ACES 2 output transform share.
// Source of the constants: ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

const ACES2_ENTRIES: u32 = 362u;
const ACES2_OFFSET: f32 = 27.13;
const ACES2_DEGREE: f32 = 57.29577951308232;
const ACES2_SMOOTH: f32 = 0.12;
const ACES2_FOCUS_BLEND: f32 = 0.3;
const ACES2_THRESHOLD: f32 = 0.75;

// Lightness, colourfulness, and hue in degrees.
fn aces2_response(cone: vec3f) -> vec3f {
    let power = exp2(0.42 * finite_log2(abs(cone)));
    return with_sign(power / (ACES2_OFFSET + power), cone);
}

fn aces2_cone(response: vec3f) -> vec3f {
    let held = min(abs(response), vec3f(0.99));
    return with_sign(exp2((1.0 / 0.42) * finite_log2(ACES2_OFFSET * held / (1.0 - held))), response);
}

fn aces2_power(x: f32, exponent: f32) -> f32 {
    return exp2(min(exponent * finite_log2_of(x), 99.0));
}

fn aces2_hue(a: f32, b: f32) -> f32 {
    let hue = ACES2_DEGREE * atan2(b, a);
    let turned = select(hue, hue + 360.0, hue < 0.0);
    return select(turned, 0.0, turned >= 360.0);
}

// What AP1 reaches at a hue and the peak's lightness; the first table.
fn aces2_reach(start: u32, hue: f32) -> f32 {
    let degree = floor(hue);
    let at = start + u32(degree) + 1u;
    return mix(tables[at], tables[at + 1u], hue - degree);
}

// The cusp at a hue: lightness, colourfulness, exponent of the upper hull. The second table: hue and these three.
fn aces2_cusp(start: u32, hue: f32) -> vec3f {
    let first = start + ACES2_ENTRIES;
    var low = 0u;
    var high = ACES2_ENTRIES - 1u;
    while (low + 1u < high) {
        let middle = (low + high) / 2u;
        if (tables[first + 4u * middle] < hue) {
            low = middle;
        } else {
            high = middle;
        }
    }
    let a = first + 4u * low;
    let b = first + 4u * high;
    let share = (hue - tables[a]) / (tables[b] - tables[a]);
    let from_cusp = vec3f(tables[a + 1u], tables[a + 2u], tables[a + 3u]);
    let to_cusp = vec3f(tables[b + 1u], tables[b + 2u], tables[b + 3u]);
    return mix(from_cusp, to_cusp, share);
}

// The size that colourfulness is measured by, at the angle of a hue.
fn aces2_norm(scale: f32, sine: f32, cosine: f32) -> f32 {
    let cosine2 = 2.0 * cosine * cosine - 1.0;
    let sine2 = 2.0 * cosine * sine;
    let cosine3 = (4.0 * cosine * cosine - 3.0) * cosine;
    let sine3 = (3.0 - 4.0 * sine * sine) * sine;
    let waves = 11.34072 * cosine + 16.46899 * cosine2 + 7.88380 * cosine3;
    return scale * (77.12896 + waves + 14.66441 * sine - 6.37224 * sine2 + 9.19364 * sine3);
}

fn aces2_toe(x: f32, limit: f32, k1_in: f32, k2_in: f32) -> f32 {
    let k2 = max(k2_in, 0.001);
    let k1 = sqrt(k1_in * k1_in + k2 * k2);
    let k3 = (limit + k1) / (limit + k2);
    let b = k3 * x - k1;
    let c = 4.0 * k2 * k3 * x;
    let root = sqrt(max(b * b + c, 0.0));
    // Of two forms the one that does not cancel.
    let curved = select(0.5 * (b + root), 0.5 * c / (root - b), b < 0.0);
    return select(curved, x, x > limit);
}

// Held off the pole at -k2.
fn aces2_toe_inverse(y: f32, limit: f32, k1_in: f32, k2_in: f32) -> f32 {
    let k2 = max(k2_in, 0.001);
    let x = max(y, -0.9 * k2);
    let k1 = sqrt(k1_in * k1_in + k2 * k2);
    let k3 = (limit + k1) / (limit + k2);
    return select((x * x + k1 * x) / (k3 * (x + k2)), x, x > limit);
}

// Where the line through a colour meets the neutral axis.
fn aces2_axis(j: f32, m_in: f32, most_j: f32, focus_j: f32, gain: f32) -> f32 {
    let m = m_in / gain;
    let a = m / focus_j;
    let below = j < focus_j;
    let b = select(1.0 + m + most_j * a, 1.0 - m, below);
    let c = select(most_j * m + j, j, below);
    let ac = select(-a * c, a * c, below);
    return 2.0 * c / (b + sqrt(max(b * b + 4.0 * ac, 0.0)));
}

fn aces2_hull(axis_j: f32, slope: f32, exponent: f32, top_j: f32, top_m: f32, reference_j: f32) -> f32 {
    let shifted = reference_j * aces2_power(axis_j / reference_j, exponent);
    return shifted * top_m / (top_j - slope * top_m);
}

// Neutral lightness and slope of the line of a colour, the gamut's colourfulness on it, and the reach's.
fn aces2_line(j: f32, m: f32, line_j: f32, cusp: vec3f, most_j: f32, middle_j: f32, far: f32, lower: f32, reach_exponent: f32, reach: f32) -> vec4f {
    let focus_j = mix(cusp.x, middle_j, min(1.0, 1.3 - cusp.x / most_j));
    let steep_j = mix(cusp.x, most_j, ACES2_FOCUS_BLEND);
    var gain = far;
    if (line_j > steep_j) {
        let decades = 0.3010299956639812 * log2((most_j - steep_j) / max(most_j - line_j, 0.0001));
        gain = far * (1.0 + decades * decades);
    }
    let axis = aces2_axis(j, m, most_j, focus_j, gain);
    let slope = select(most_j - axis, axis, axis < focus_j) * (axis - focus_j) / (focus_j * gain);
    let cusp_axis = aces2_axis(cusp.x, cusp.y, most_j, focus_j, gain);
    let below = aces2_hull(axis, slope, lower, cusp.x, cusp.y, cusp_axis);
    let above = aces2_hull(most_j - axis, -slope, cusp.z, most_j - cusp.x, cusp.y, most_j - cusp_axis);
    let width = ACES2_SMOOTH * cusp.y;
    let near = max(width - abs(below - above), 0.0) / width;
    let boundary = min(below, above) - near * near * near * width / 6.0;
    let reached = aces2_hull(axis, slope, reach_exponent, most_j, reach, most_j);
    return vec4f(axis, slope, boundary, reached);
}
