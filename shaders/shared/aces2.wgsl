//!use shared/powers.wgsl
//!use edges/tables.wgsl

// What both ways of the ACES 2 output transform share. Lightness and colourfulness are shares of the peak's lightness
// throughout, and cones are in units in which a response is v / (v + 1): no scale is left to multiply by. Reciprocals
// of several numbers are made of one of their product, since a GPU's divisions, roots, powers and logarithms share a
// unit with a quarter to an eighth of the rate of its sums and products.
// Source of the constants: ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

const ACES2_RESPONSE: f32 = 0.42;
// Of lightness over the achromatic response: 0.59 (1.48 + sqrt(0.2)).
const ACES2_LIGHTNESS: f32 = 1.137056;
const ACES2_CONTRAST: f32 = 1.15;
const ACES2_TOE: f32 = 0.04;
const ACES2_SMOOTH: f32 = 0.12;
const ACES2_THRESHOLD: f32 = 0.75;

// What the cones see where the response is a half, to base two: log2(27.13) / 0.42.
const ACES2_HALF: f32 = 11.33766;

// Scene light is cut here, beyond all that a file of half floats can hold. The standard cuts at hundreds to thousands, where
// all is the display's white already.
const ACES2_MOST: f32 = 65504.0;

// Entries of the table: the reach at each whole degree of hue from 0 to 360, then the cells of the cusps with so many each.
const ACES2_REACHES: u32 = 361u;
const ACES2_CELL: u32 = 10u;

// One transform, either way: light on one set of primaries to cones in their units, responses to those of a grey and the
// opponent colours, back again, cones to light on the other primaries; where the display's light is cut; the
// tone scale, both compressions, and the table over the hues.
struct Aces2 {
    cones: mat3x3f,
    opponent: mat3x3f,
    responses: mat3x3f,
    light: mat3x3f,
    most: f32,
    bend: f32,
    ceiling: f32,
    level: f32,
    of_peak: f32,
    peak: f32,
    expansion: f32,
    threshold: f32,
    compression: f32,
    norm: f32,
    middle: f32,
    far: f32,
    gain: f32,
    lower: f32,
    before: f32,
    start: u32,
}

// Responses of cones that see no less than nothing.
fn aces2_responses(cones: vec3f) -> vec3f {
    let power = exp2(ACES2_RESPONSE * finite_log2(cones));
    let whole = power + 1.0;
    return power * whole.yzx * whole.zxy * (1.0 / (whole.x * whole.y * whole.z));
}

// What the cones see.
fn aces2_cones(responses: vec3f) -> vec3f {
    let held = min(abs(responses), vec3f(0.99));
    let left = 1.0 - held;
    let power = held * left.yzx * left.zxy * (1.0 / (left.x * left.y * left.z));
    return with_sign(exp2((1.0 / ACES2_RESPONSE) * finite_log2(power) + ACES2_HALF), responses);
}

// The direction of the hue of two opponent colours; none for a grey.
fn aces2_direction(opponent: vec2f) -> vec2f {
    return opponent * inverseSqrt(max(dot(opponent, opponent), 1e-30));
}

// Logarithms of a grey's response in the scene and on the display. Responses stay below 0.6, and the least is held so far
// above nothing that no power overflows.
fn aces2_toned(p: Aces2, grey: f32) -> vec2f {
    let response = log2(max(grey, 1e-11));
    let bend = exp2(p.bend - (1.0 / ACES2_RESPONSE) * (response - log2(1.0 - grey)));
    let f = p.ceiling - ACES2_CONTRAST * log2(1.0 + bend);
    let light = 2.0 * f - log2(exp2(f) + ACES2_TOE);
    return vec2f(response, -log2(1.0 + exp2(p.level - ACES2_RESPONSE * light)));
}

// The response in the scene of the grey that has this one on a display.
fn aces2_untoned(p: Aces2, grey: f32) -> f32 {
    let light = exp2((1.0 / ACES2_RESPONSE) * (finite_log2_of(grey / max(1.0 - grey, 0.01)) + p.level));
    let f = 0.5 * (light + sqrt(light * (light + 4.0 * ACES2_TOE)));
    let rise = exp2((p.ceiling - finite_log2_of(f)) * (1.0 / ACES2_CONTRAST)) - 1.0;
    let power = exp2(ACES2_RESPONSE * (p.bend - finite_log2_of(rise)));
    return power / (power + 1.0);
}

// What the tables say of a hue, and the wave over the hues of the norm that its colourfulness is measured by.
struct Aces2Hue {
    cusp_j: f32,
    cusp_m: f32,
    upper: f32,
    reach: f32,
    wave: f32,
}

// The angle of a direction in half degrees. The arc sine of the smaller side by a polynomial in its square, fitted to 1e-8;
// the sides are those of a unit vector, or both zero.
fn aces2_turn(direction: vec2f) -> f32 {
    let side = abs(direction);
    let least = min(side.x, side.y);
    let u = least * least;
    let tail = 0.0466549043 + u * (0.0157105033 + u * (0.0786043773 + u * (-0.0946375521 + u * 0.1123245025)));
    let eighth = least * (114.59155903 * (0.9999999866 + u * (0.1666699713 + u * (0.0748670685 + u * tail))));
    let quarter = select(eighth, 180.0 - eighth, side.y > side.x);
    let half = select(quarter, 360.0 - quarter, direction.x < 0.0);
    return select(half, 720.0 - half, direction.y < 0.0);
}

// The cusps' cells are half a degree wide, the first beginning so much before hue 0. A cell holds how far into it the lines
// bend, the cusp there, and its slopes before and after.
fn aces2_hue(p: Aces2, direction: vec2f) -> Aces2Hue {
    let turn = aces2_turn(direction);
    let degree = min(floor(0.5 * turn), 359.0);
    let reach = p.start + u32(degree);
    let place = turn + p.before;
    let number = floor(place);
    let at = p.start + ACES2_REACHES + ACES2_CELL * u32(number);
    let by = place - number - tables[at];
    let slope = at + select(7u, 4u, by < 0.0);
    let c = direction.x;
    let cosines = 60.65997 + c * (-12.31068 + c * (32.93798 + c * 31.5352));
    let sines = 5.47077 + c * (-12.74448 + c * 36.77456);
    return Aces2Hue(
        tables[at + 1u] + by * tables[slope],
        tables[at + 2u] + by * tables[slope + 1u],
        tables[at + 3u] + by * tables[slope + 2u],
        mix(tables[reach], tables[reach + 1u], 0.5 * turn - degree),
        cosines + direction.y * sines,
    );
}

// The parameters of the two toes of the chroma compression: k1, k2, k3 and limit of the shadows', of the highlights'.
struct Aces2Toes {
    shadow: vec4f,
    light: vec4f,
}

fn aces2_toes(p: Aces2, j: f32, cap: f32, wave: f32) -> Aces2Toes {
    let norm = p.norm * wave;
    let low = cap - 0.001 * norm;
    let noise = j * j + p.threshold;
    let strong = max(1.0 - j, 0.0) * p.expansion;
    let rest = norm * max(1.0 - j, 0.001);
    let rolled = wave * j * p.compression;
    let k2 = vec2f(norm * sqrt(noise), rest);
    let k1 = vec2f(norm * sqrt(strong * strong + noise), sqrt(rolled * rolled + rest * rest));
    let limit = vec2f(low, cap);
    let under = limit + k2;
    let k3 = (limit + k1) * under.yx * (1.0 / (under.x * under.y));
    return Aces2Toes(vec4f(k1.x, k2.x, k3.x, low), vec4f(k1.y, k2.y, k3.y, cap));
}

// A curve from 0 to the limit that presses small values down; identity above.
fn aces2_toe(toe: vec4f, x: f32) -> f32 {
    let b = toe.z * x - toe.x;
    let curved = 0.5 * (b + sqrt(max(b * b + 4.0 * toe.y * toe.z * x, 0.0)));
    return select(curved, x, x > toe.w);
}

// Held off the pole at -k2.
fn aces2_toe_inverse(toe: vec4f, y: f32) -> f32 {
    let x = max(y, -0.9 * toe.y);
    return select((x * x + toe.x * x) / (toe.z * (x + toe.y)), x, y > toe.w);
}

// The line that a colour is moved along: where it meets the neutral axis and how it rises, colourfulness where it leaves
// the gamut, and what AP1 reaches on it, as a numerator and a denominator.
struct Aces2Line {
    axis: f32,
    slope: f32,
    gamut: f32,
    reach: f32,
    under: f32,
}

// The lightness on the axis, counted from the axis' end on the colour's side of the focus, as numerator and denominator:
// the root of m x^2 + (spread - m focus) x - spread j, in the form that does not cancel.
fn aces2_axis(j: f32, focus: f32, m: f32, spread: f32) -> vec2f {
    let b = spread - m * focus;
    let root = sqrt(b * b + 4.0 * m * spread * j);
    return select(vec2f(2.0 * spread * j, b + root), vec2f(root - b, 2.0 * m), b < 0.0);
}

fn aces2_line(p: Aces2, hue: Aces2Hue, j: f32, m: f32, line_j: f32) -> Aces2Line {
    let focus = mix(hue.cusp_j, p.middle, min(1.0, 1.3 - hue.cusp_j));
    // Towards white the lines rise less: above 0.3 of the way from the cusp. Below, the logarithm is held at zero.
    let towards = max(log2(0.7 * (1.0 - hue.cusp_j)) - log2(max(1.0 - line_j, 1e-6)), 0.0);
    let spread = focus * (p.far + p.gain * towards * towards);
    let is_up = j >= focus;
    let near_focus = select(focus, 1.0 - focus, is_up);
    let colour = aces2_axis(select(j, 1.0 - j, is_up), near_focus, m, spread);
    let cusp_is_up = hue.cusp_j >= focus;
    let cusp_focus = select(focus, 1.0 - focus, cusp_is_up);
    let cusp = aces2_axis(select(hue.cusp_j, 1.0 - hue.cusp_j, cusp_is_up), cusp_focus, hue.cusp_m, spread);
    let of_all = 1.0 / (colour.y * cusp.y * spread);
    let from_end = colour.x * cusp.y * spread * of_all;
    let cusp_from_end = cusp.x * colour.y * spread * of_all;
    let pull = colour.y * cusp.y * of_all;
    let rise = from_end * (from_end - near_focus) * pull;
    let slope = select(rise, -rise, is_up);
    let ends = log2(max(vec4f(from_end, 1.0 - from_end, cusp_from_end, 1.0 - cusp_from_end), vec4f(1e-37)));
    let axis = select(ends.xy, ends.yx, is_up);
    let cusp_axis = select(ends.zw, ends.wz, cusp_is_up);
    // Lower and upper hull; a hull that the line does not meet is far away.
    let shifted = exp2(mix(cusp_axis, axis, vec2f(p.lower, hue.upper)));
    let under = max(vec2f(hue.cusp_j, 1.0 - hue.cusp_j) + vec2f(-slope, slope) * hue.cusp_m, vec2f(1e-6));
    let of_under = 1.0 / (under.x * under.y * hue.cusp_m);
    let hulls = shifted * under.yx * (hue.cusp_m * hue.cusp_m * of_under);
    let of_cusp = under.x * under.y * of_under;
    let near = max(ACES2_SMOOTH * hue.cusp_m - abs(hulls.x - hulls.y), 0.0) * of_cusp;
    let rounded = near * near * near * hue.cusp_m * (1.0 / (6.0 * ACES2_SMOOTH * ACES2_SMOOTH));
    return Aces2Line(
        select(from_end, 1.0 - from_end, is_up),
        slope,
        min(hulls.x, hulls.y) - rounded,
        hue.reach * exp2((1.0 / ACES2_LIGHTNESS) * axis.x),
        1.0 - slope * hue.reach,
    );
}

// How colourfulness is compressed along a line: from where, how much room there is outwards and inwards, both times the
// line's denominator. None where the gamut holds all that can be reached.
struct Aces2Remap {
    threshold: f32,
    outer: f32,
    room: f32,
    is_none: bool,
}

fn aces2_remap(line: Aces2Line) -> Aces2Remap {
    let share = max(line.gamut * line.under / line.reach, ACES2_THRESHOLD);
    let threshold = share * line.gamut;
    let room = (line.reach - threshold * line.under) * (line.gamut - threshold);
    return Aces2Remap(threshold, line.reach - line.gamut * line.under, room, share >= 1.0);
}
