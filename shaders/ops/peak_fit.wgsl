//!use shared/pq.wgsl

struct PeakFit {
    untouched: f32,
    least: f32,
    of_span: f32,
    span: f32,
    knee: f32,
    of_bend: f32,
    rise: f32,
    lift: f32,
    exponent: f32,
    peak: f32,
    black: f32,
    scale: f32,
    offset: f32,
}

// c1^m2 of PQ, its code of no light.
const PEAK_FIT_DARK: f32 = 7.309559025783966e-7;

// Light of 100 nits is a hundredth of PQ's 10000.
const PEAK_FIT_RATIO: f32 = 0.01;

fn op_peak_fit(p: PeakFit, rgb: vec3f) -> vec3f {
    let largest = max(max(rgb.r, rgb.g), rgb.b);
    if largest <= p.untouched {
        return rgb * p.scale;
    }
    let light = max(largest, p.least);
    // The curves are held at the code where they leave PQ's own scale.
    let code = pq_code(vec3f(min(light * PEAK_FIT_RATIO, 1.0))).x;
    let signal = min((code - PEAK_FIT_DARK) * p.of_span, 1.0);
    let left = 1.0 - clamp((signal - p.knee) * p.of_bend, 0.0, 1.0);
    let bent = min(signal, p.knee) + p.rise * (1.0 - left * left * left);
    let lifted = bent + p.lift * exp2(p.exponent * finite_log2_of(1.0 - bent));
    let fitted = pq_ratio(vec3f(lifted * p.span + PEAK_FIT_DARK)).x / PEAK_FIT_RATIO;
    let factor = (min(fitted, p.peak) - p.black) / light;
    return rgb * (factor * p.scale) + p.offset;
}
