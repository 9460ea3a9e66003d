//! The published camera curves that are a logarithm above a straight line.
//!
//! A break that its document gives to the straight part ("above the cut" is logarithmic) is stored as the next
//! float up, because [`LogCurve`] gives the break to the logarithm.

use super::{LogCurve, LogSegments};

const fn segments(base: f64, [a, b, c, d, e, f]: [f64; 6]) -> LogSegments {
    LogSegments { base, a, b, c, d, e, f }
}

/// One row of the LogC3 table: exposure index, cut, b, c, d, e, f (a is 5.555556 throughout).
pub type LogC3Row = (u32, [f64; 6]);

/// LogC3 at every exposure index with a closed form, on scene light relative to 18 % grey.
/// Above 1600 the camera adds a knee that has no published equation.
///
/// # Source
/// ARRI, ALEXA Log C Curve - Usage in VFX, 2012, table for SUP 3.x, linear scene exposure.
pub const LOG_C3: [LogC3Row; 11] = [
    (160, [0.005561, 0.080216, 0.269036, 0.381991, 5.842037, 0.092778]),
    (200, [0.006208, 0.076621, 0.266007, 0.382478, 5.776265, 0.092782]),
    (250, [0.006871, 0.072941, 0.262978, 0.382966, 5.710494, 0.092786]),
    (320, [0.007622, 0.068768, 0.259627, 0.383508, 5.637732, 0.092791]),
    (400, [0.008318, 0.064901, 0.256598, 0.383999, 5.571960, 0.092795]),
    (500, [0.009031, 0.060939, 0.253569, 0.384493, 5.506188, 0.092800]),
    (640, [0.009840, 0.056443, 0.250219, 0.385040, 5.433426, 0.092805]),
    (800, [0.010591, 0.052272, 0.247190, 0.385537, 5.367655, 0.092809]),
    (1000, [0.011361, 0.047996, 0.244161, 0.386036, 5.301883, 0.092814]),
    (1280, [0.012235, 0.043137, 0.240810, 0.386590, 5.229121, 0.092819]),
    (1600, [0.013047, 0.038625, 0.237781, 0.387093, 5.163350, 0.092824]),
];

/// LogC3 at an exposure index, or `None` where the table has no such row.
pub fn log_c3(exposure_index: u32) -> Option<LogCurve> {
    let (_, [cut, b, c, d, e, f]) = LOG_C3.iter().find(|(ei, _)| *ei == exposure_index)?;
    let s = segments(10.0, [5.555556, *b, *c, *d, *e, *f]);
    let code_cut = e * cut + f;
    Some(LogCurve::new(s, cut.next_up(), code_cut.next_up()))
}

/// LogC4.
///
/// # Source
/// ARRI LogC4 Logarithmic Color Space Specification, 2022.
pub fn log_c4() -> LogCurve {
    let a = (2f64.powi(18) - 16.0) / 117.45;
    let (b, c): (f64, f64) = ((1023.0 - 95.0) / 1023.0, 95.0 / 1023.0);
    let s = 7.0 * std::f64::consts::LN_2 * (7.0 - 14.0 * c / b).exp2() / (a * b);
    let t = ((14.0 * (-c / b) + 6.0).exp2() - 64.0) / a;
    let s = segments(2.0, [a, 64.0, b / 14.0, c - 6.0 * b / 14.0, 1.0 / s, -t / s]);
    LogCurve::new(s, t, 0.0)
}

/// S-Log2, which places its curve in the legal range: code = (64 + 876 y) / 1023.
///
/// # Source
/// Sony, S-Log2 Technical Paper, 2012.
pub const S_LOG2: LogCurve = {
    let legal = 876.0 / 1023.0;
    let scale = 155.0 / 219.0 / 0.9;
    let at_zero = 0.030001222851889303;
    let zero_code = (64.0 + 876.0 * at_zero) / 1023.0;
    let s = segments(
        10.0,
        [
            scale,
            0.037584,
            0.432699 * legal,
            (64.0 + 876.0 * (0.616596 + 0.03)) / 1023.0,
            5.0 * scale * legal,
            zero_code,
        ],
    );
    LogCurve::new(s, 0.0, zero_code)
};

/// S-Log3.
///
/// # Source
/// Sony, Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3.
pub const S_LOG3: LogCurve = {
    let cut = 171.2102946929;
    let s = segments(
        10.0,
        [1.0 / 0.19, 0.01 / 0.19, 261.5 / 1023.0, 420.0 / 1023.0, (cut - 95.0) / 0.01125 / 1023.0, 95.0 / 1023.0],
    );
    LogCurve::new(s, 0.01125, cut / 1023.0)
};

/// V-Log.
///
/// # Source
/// Panasonic, VARICAM V-Log/V-Gamut, 2014.
pub const V_LOG: LogCurve = LogCurve::new(segments(10.0, [1.0, 0.00873, 0.241514, 0.598206, 5.6, 0.125]), 0.01, 0.181);

/// F-Log.
///
/// # Source
/// Fujifilm, F-Log Data Sheet Ver. 1.1.
pub const F_LOG: LogCurve = LogCurve::new(
    segments(10.0, [0.555556, 0.009468, 0.344676, 0.790453, 8.735631, 0.092864]),
    0.00089,
    0.100537775223865,
);

/// F-Log2.
///
/// # Source
/// Fujifilm, F-Log2 Data Sheet Ver. 1.0.
pub const F_LOG2: LogCurve = LogCurve::new(
    segments(10.0, [5.555556, 0.064829, 0.245281, 0.384316, 8.799461, 0.092864]),
    0.000889,
    0.100686685370811,
);

/// D-Log. The decoder is printed with constants of its own: x = (10 ^ (3.89616 y - 2.27752) - b) / a.
///
/// # Source
/// DJI, White Paper on D-Log and D-Gamut, 2017.
pub const D_LOG: LogCurve = {
    let (a, b, e, f) = (0.9892, 0.0108, 6.025, 0.0929);
    LogCurve {
        encoder: segments(10.0, [a, b, 0.256663, 0.584555, e, f]),
        linear_cut: 0.0078f64.next_up(),
        decoder: segments(10.0, [a, b, 1.0 / 3.89616, 2.27752 / 3.89616, e, f]),
        code_cut: 0.14f64.next_up(),
    }
};

/// ACEScct.
///
/// # Source
/// Academy S-2016-001.
pub const ACES_CCT: LogCurve = {
    use super::aces::{CCT_CODE_BREAK, CCT_LINEAR_BREAK, CCT_OFFSET, CCT_SLOPE, OFFSET_STOPS, STOPS_PER_CODE};
    LogCurve::new(
        segments(2.0, [1.0, 0.0, 1.0 / STOPS_PER_CODE, OFFSET_STOPS / STOPS_PER_CODE, CCT_SLOPE, CCT_OFFSET]),
        CCT_LINEAR_BREAK.next_up(),
        CCT_CODE_BREAK.next_up(),
    )
};
