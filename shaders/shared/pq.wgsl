//!use shared/powers.wgsl

// The perceptual quantiser, written so that f32 keeps its digits: c2 - c3 = 1 - c1, so both
// directions are a small departure from one, which is computed as such. A ratio is light over 10000 nits.
// Source of the constants: SMPTE ST 2084, BT.2100 table 4.

const PQ_M1: f32 = 0.1593017578125;
const PQ_M2: f32 = 78.84375;
const PQ_C3: f32 = 18.6875;
const PQ_ONE_LESS_C1: f32 = 0.1640625;
const PQ_LN2: f32 = 0.6931471805599453;

// 1 - e^x for -0.2 <= x <= 0.01, by its series.
fn pq_fall(x: vec3f) -> vec3f {
    let series = 1.0 + x / 2.0 * (1.0 + x / 3.0 * (1.0 + x / 4.0 * (1.0 + x / 5.0 * (1.0 + x / 6.0 * (1.0 + x / 7.0)))));
    return -x * series;
}

// For codes from 0 to 1.2; codes below that of no light are no light.
fn pq_ratio(code: vec3f) -> vec3f {
    let fall = pq_fall(max(finite_log2(code) * (PQ_LN2 / PQ_M2), vec3f(-0.2)));
    let share = max(PQ_ONE_LESS_C1 - fall, vec3f(0.0)) / (PQ_ONE_LESS_C1 + PQ_C3 * fall);
    return signed_power(share, 1.0 / PQ_M1);
}

// For ratios from 0 to that of code 1.2.
fn pq_code(ratio: vec3f) -> vec3f {
    let root = signed_root(ratio, PQ_M1);
    let fall = PQ_ONE_LESS_C1 * (1.0 - root) / (1.0 + PQ_C3 * root);
    // ln(1 - fall) by the series of the inverse hyperbolic tangent.
    let z = fall / (2.0 - fall);
    let zz = z * z;
    let logarithm = -2.0 * z * (1.0 + zz * (1.0 / 3.0 + zz * (1.0 / 5.0 + zz * (1.0 / 7.0 + zz / 9.0))));
    return finite_exp2(logarithm * (PQ_M2 / PQ_LN2));
}
