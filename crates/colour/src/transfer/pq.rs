//! The perceptual quantiser, mirrored about 0. Linear 1.0 is 100 nits.
//!
//! The published decoder is flat at 0 up to code c1 ^ m2 = 7.3e-7, the code of no light. Its denominator vanishes
//! at code 1.99, so from code [`TANGENT_CODE`] (74 thousand nits) both directions run on along the tangent.
//!
//! # Source
//! SMPTE ST 2084:2014; Rec. ITU-R BT.2100-2, table 4.

use super::odd;

/// Exponent on luminance: 2610 / 16384.
pub const M1: f64 = 2610.0 / 16384.0;
/// Exponent on the quotient: 2523 / 32.
pub const M2: f64 = 2523.0 / 4096.0 * 128.0;
/// 3424 / 4096.
pub const C1: f64 = 3424.0 / 4096.0;
/// 2413 / 128.
pub const C2: f64 = 2413.0 / 4096.0 * 32.0;
/// 2392 / 128.
pub const C3: f64 = 2392.0 / 4096.0 * 32.0;
/// Luminance of code 1 in nits.
pub const PEAK_NITS: f64 = 10000.0;
/// Luminance of linear 1 in nits.
pub const NITS_PER_LINEAR: f64 = 100.0;
/// From this code the curve runs on along its tangent. Ours; the standard ends at 1.
pub const TANGENT_CODE: f64 = 1.2;

/// The light (1.0 = 100 nits) at [`TANGENT_CODE`].
pub fn tangent_linear() -> f64 {
    curve(TANGENT_CODE)
}

/// Light (1.0 = 100 nits) per code along the tangent at [`TANGENT_CODE`].
pub fn tangent_slope() -> f64 {
    let n = TANGENT_CODE.powf(1.0 / M2);
    let dn = n / (M2 * TANGENT_CODE);
    tangent_linear() / M1 * (1.0 / (n - C1) + C3 / (C2 - C3 * n)) * dn
}

/// The code of no light, c1 ^ m2.
pub fn code_of_zero() -> f64 {
    C1.powf(M2)
}

/// Signal to luminance in nits.
pub fn nits_from_code(code: f64) -> f64 {
    linear_from_code(code) * NITS_PER_LINEAR
}

/// Luminance in nits to signal.
pub fn code_from_nits(nits: f64) -> f64 {
    code_from_linear(nits / NITS_PER_LINEAR)
}

fn curve(code: f64) -> f64 {
    let n = code.powf(1.0 / M2);
    let y = ((n - C1).max(0.0) / (C2 - C3 * n)).powf(1.0 / M1);
    y * (PEAK_NITS / NITS_PER_LINEAR)
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    odd(code, |c| if c > TANGENT_CODE { tangent_linear() + (c - TANGENT_CODE) * tangent_slope() } else { curve(c) })
}

pub(super) fn code_from_linear(linear: f64) -> f64 {
    odd(linear, |x| {
        let end = tangent_linear();
        if x > end {
            return TANGENT_CODE + (x - end) / tangent_slope();
        }
        let y = (x * (NITS_PER_LINEAR / PEAK_NITS)).powf(M1);
        ((C1 + C2 * y) / (1.0 + C3 * y)).powf(M2)
    })
}

pub(super) fn overlap() -> f64 {
    // The flat stretch from -code_of_zero to +code_of_zero.
    2.0 * code_of_zero()
}
