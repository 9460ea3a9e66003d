//!use shared/powers.wgsl

// The perceptual quantiser, written so that f32 keeps its digits: c2 - c3 = 1 - c1, so both
// directions are a small departure from one, which is computed as such.
// Source of the constants: SMPTE ST 2084, BT.2100 table 4.

const PQ_M1: f32 = 0.1593017578125;
const PQ_M2: f32 = 78.84375;
const PQ_C3: f32 = 18.6875;
const PQ_ONE_LESS_C1: f32 = 0.1640625;
const PQ_LN2: f32 = 0.6931471805599453;

struct PqDecode {
    scale: f32,
    top: f32,
    top_light: f32,
    top_slope: f32,
}

// 1 - e^x for -0.2 <= x <= 0.01, by its series.
fn pq_fall(x: vec3f) -> vec3f {
    let series = 1.0 + x / 2.0 * (1.0 + x / 3.0 * (1.0 + x / 4.0 * (1.0 + x / 5.0 * (1.0 + x / 6.0 * (1.0 + x / 7.0)))));
    return -x * series;
}

fn pq_decode(p: PqDecode, code: vec3f) -> vec3f {
    let size = abs(code);
    let held = min(size, vec3f(p.top));
    let fall = pq_fall(max(finite_log2(held) * (PQ_LN2 / PQ_M2), vec3f(-0.2)));
    let ratio = max(PQ_ONE_LESS_C1 - fall, vec3f(0.0)) / (PQ_ONE_LESS_C1 + PQ_C3 * fall);
    let light = signed_power(ratio, 1.0 / PQ_M1) * p.scale;
    let beyond = p.top_light + (size - p.top) * p.top_slope;
    return sign(code) * select(light, beyond, size > vec3f(p.top));
}

struct PqEncode {
    scale: f32,
    top: f32,
    top_light: f32,
    top_slope: f32,
}

fn pq_encode(p: PqEncode, light: vec3f) -> vec3f {
    let size = abs(light);
    let held = min(size, vec3f(p.top_light));
    let root = signed_root(held * p.scale, PQ_M1);
    let fall = PQ_ONE_LESS_C1 * (1.0 - root) / (1.0 + PQ_C3 * root);
    // ln(1 - fall) by the series of the inverse hyperbolic tangent.
    let z = fall / (2.0 - fall);
    let zz = z * z;
    let logarithm = -2.0 * z * (1.0 + zz * (1.0 / 3.0 + zz * (1.0 / 5.0 + zz * (1.0 / 7.0 + zz / 9.0))));
    let code = finite_exp2(logarithm * (PQ_M2 / PQ_LN2));
    let beyond = p.top + (size - p.top_light) * p.top_slope;
    // Black is code 7.3e-7, not zero.
    let side = select(vec3f(-1.0), vec3f(1.0), light >= vec3f(0.0));
    return side * select(code, beyond, size > vec3f(p.top_light));
}
