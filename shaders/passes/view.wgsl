// Exposure views: what a pixel is on the scale of light, and how that is drawn. The same as `measure::view`, in single floats.

const FALSE_COLOUR: u32 = 0u;
const ZEBRA_OF_LUMA: u32 = 1u;
const ZEBRA_OF_STOPS: u32 = 2u;
const WARNINGS: u32 = 3u;

const CLIPPED: u32 = 1u;
const CRUSHED: u32 = 2u;
const WHITE: u32 = 3u;
const BLACK: u32 = 4u;
const OUTSIDE: u32 = 5u;
const ZEBRA: u32 = 6u;

const LIGHT_STROKE: f32 = 0.98;
const DARK_STROKE: f32 = 0.02;
const FAINT_STROKE: f32 = 0.45;

const MID_GREY: f32 = 0.18;

struct View {
    kind: u32,
    of_display: u32,
    // Where the original ends.
    low: f32,
    high: f32,
    // What zebra is over.
    zebra_from: f32,
    zebra_to: f32,
    near: f32,
    at_end: f32,
    outside: f32,
    darkest: f32,
    luma: vec3f,
    luminance: vec3f,
    gamut: mat3x3f,
    bands: array<vec4f, 15>,
}

fn view_place(index: u32, width: u32, left: u32, top: u32) -> vec2u {
    let row = index / width;
    return vec2u(left + index - row * width, top + row);
}

// Stops from mid grey; far below every band without light.
fn view_stops(view: View, light: vec3f) -> f32 {
    let luminance = dot(view.luminance, light);
    if luminance <= 0.0 {
        return -1000.0;
    }
    return log2(luminance / MID_GREY);
}

fn view_clip(view: View, original: vec3f) -> u32 {
    if any(original >= vec3f(view.high)) {
        return CLIPPED;
    }
    return select(0u, CRUSHED, any(original <= vec3f(view.low)));
}

fn view_warning(view: View, original: vec3f, signal: vec3f, light: vec3f) -> u32 {
    let clip = view_clip(view, original);
    if clip != 0u {
        return clip;
    }
    let within = view.gamut * light;
    let greatest = max(within.x, max(within.y, within.z));
    let least = min(within.x, min(within.y, within.z));
    if greatest >= view.darkest && least < -view.outside * greatest {
        return OUTSIDE;
    }
    if view.of_display == 0u {
        return 0u;
    }
    if any(signal > vec3f(1.0 - view.at_end)) {
        return WHITE;
    }
    return select(0u, BLACK, any(signal < vec3f(view.at_end)));
}

// Patterns of light and dark.
fn view_mark(mark: u32, at: vec2u, picture: vec3f) -> vec3f {
    let rising = (at.x % 8u + at.y % 8u) % 8u;
    let falling = (7u * (at.x % 8u) + at.y % 8u) % 8u;
    var grey = -1.0;
    switch mark {
        case CLIPPED: { grey = select(DARK_STROKE, LIGHT_STROKE, rising < 4u); }
        case CRUSHED: { grey = select(DARK_STROKE, FAINT_STROKE, falling < 2u); }
        case WHITE: { grey = select(LIGHT_STROKE, DARK_STROKE, at.y % 6u < 2u); }
        case BLACK: { grey = select(DARK_STROKE, FAINT_STROKE, at.x % 6u < 2u); }
        case OUTSIDE: {
            let right = at.x % 4u >= 2u;
            if right == (at.y % 4u >= 2u) {
                grey = select(LIGHT_STROKE, DARK_STROKE, right);
            }
        }
        case ZEBRA: {
            if falling < 4u {
                grey = select(LIGHT_STROKE, DARK_STROKE, falling < 2u);
            }
        }
        default: {}
    }
    return select(vec3f(grey), picture, grey < 0.0);
}

fn view_black_white(view: View, signal: vec3f, at: vec2u) -> vec3f {
    if all(signal < vec3f(view.at_end)) {
        return view_mark(BLACK, at, signal);
    }
    if all(signal > vec3f(1.0 - view.at_end)) {
        return view_mark(WHITE, at, signal);
    }
    let luma = dot(view.luma, signal);
    if luma <= view.near {
        return 0.44 * clamp(signal / view.near, vec3f(0.0), vec3f(1.0));
    }
    if luma >= 1.0 - view.near {
        return 0.56 + 0.44 * clamp((signal - 1.0 + view.near) / view.near, vec3f(0.0), vec3f(1.0));
    }
    return vec3f(0.5);
}

fn view_ink(view: View, original: vec3f, signal: vec3f, light: vec3f, at: vec2u) -> vec3f {
    switch view.kind {
        case FALSE_COLOUR: {
            let clip = view_clip(view, original);
            if clip != 0u {
                return view_mark(clip, at, signal);
            }
            let band = u32(clamp(floor(view_stops(view, light) + 7.5), 0.0, 14.0));
            return view.bands[band].rgb;
        }
        case ZEBRA_OF_LUMA, ZEBRA_OF_STOPS: {
            var level = dot(view.luma, signal);
            if view.kind == ZEBRA_OF_STOPS {
                level = view_stops(view, light);
            }
            let is_in = level >= view.zebra_from && level < view.zebra_to;
            return view_mark(select(0u, ZEBRA, is_in), at, signal);
        }
        case WARNINGS: {
            return view_mark(view_warning(view, original, signal, light), at, signal);
        }
        default: {
            return view_black_white(view, signal, at);
        }
    }
}
