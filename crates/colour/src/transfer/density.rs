//! Printing density of a 10-bit film scan: code = 685 + 300 log10(x (1 - k) + k), over 1023.
//!
//! 300 codes a decade are 0.002 density a code on a negative of gamma 0.6; 685 is white, 95 is black.
//!
//! # Source
//! The Kodak conversion of 1995, trade practice; 0.002 density a code also in CLF 3.0, appendix B.

use super::{LARGEST_LIGHT, antilog};

/// Code of linear 1.
pub const WHITE_CODE: f64 = 685.0;
/// Code of linear 0.
pub const BLACK_CODE: f64 = 95.0;
/// Codes per tenfold of light.
pub const CODES_PER_DECADE: f64 = 300.0;
/// k: what black leaves of white, 10 ^ ((95 - 685) / 300).
pub const BLACK: f64 = 0.0107977516232771;
/// The logarithm ends where x (1 - k) + k has fallen to this; below, both forms run on along the tangent,
/// since the formula has no value at all a little further down.
pub const TANGENT_FROM: f64 = BLACK / 64.0;

/// The light at which the tangent begins.
pub const TANGENT_LINEAR: f64 = (TANGENT_FROM - BLACK) / (1.0 - BLACK);

/// The code at which the tangent begins, as a signal.
pub fn tangent_code() -> f64 {
    log_part(TANGENT_LINEAR)
}

/// Code per light along the tangent.
pub fn tangent_slope() -> f64 {
    CODES_PER_DECADE / 1023.0 * (1.0 - BLACK) / (TANGENT_FROM * std::f64::consts::LN_10)
}

fn log_part(linear: f64) -> f64 {
    // From x, not from the sum's own constant: at the start of the tangent both agree to rounding.
    let inside = linear * (1.0 - BLACK) + BLACK;
    (WHITE_CODE + CODES_PER_DECADE * inside.log10()) / 1023.0
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    let start = tangent_code();
    if code < start {
        return TANGENT_LINEAR + (code - start) / tangent_slope();
    }
    let inside = antilog(10.0, (1023.0 * code - WHITE_CODE) / CODES_PER_DECADE);
    ((inside - BLACK) / (1.0 - BLACK)).min(LARGEST_LIGHT)
}

pub(super) fn code_from_linear(linear: f64) -> f64 {
    if linear < TANGENT_LINEAR {
        tangent_code() + (linear - TANGENT_LINEAR) * tangent_slope()
    } else {
        log_part(linear)
    }
}
