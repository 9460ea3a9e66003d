//! Canon Log 2 and Canon Log 3, version 1.2. Both act on x' = reflectance / 0.9.
//!
//! # Source
//! Canon, input transform 202007 (v1.2 constants).

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog, odd};

/// Reflectance of x' = 1.
pub const WHITE_REFLECTANCE: f64 = 0.9;
/// Canon Log 2: factor on the decimal logarithm.
pub const LOG2_SLOPE: f64 = 0.24136077;
/// Canon Log 2: factor on x'.
pub const LOG2_GAIN: f64 = 87.09937546;
/// Canon Log 2: code of light 0.
pub const LOG2_OFFSET: f64 = 0.092864125;
/// Canon Log 3: factor on the decimal logarithm.
pub const LOG3_SLOPE: f64 = 0.36726845;
/// Canon Log 3: factor on x'.
pub const LOG3_GAIN: f64 = 14.98325;
/// Canon Log 3: offset of the logarithm above the straight part.
pub const LOG3_UPPER_OFFSET: f64 = 0.12240537;
/// Canon Log 3: offset of the mirrored logarithm below the straight part.
pub const LOG3_LOWER_OFFSET: f64 = 0.12783901;
/// Canon Log 3: slope of the straight part over x'.
pub const LOG3_LINEAR_SLOPE: f64 = 1.9754798;
/// Canon Log 3: code of light 0.
pub const LOG3_LINEAR_OFFSET: f64 = 0.12512219;
/// Canon Log 3: the breaks in x', rounded; the document prints them in code alone, and both lie within 2e-9 of this.
pub const LOG3_LINEAR_BREAK: f64 = 0.014;
/// Canon Log 3: below this code the decoder uses the lower logarithm.
pub const LOG3_LOWER_CODE_BREAK: f64 = 0.097465473;
/// Canon Log 3: above this code the decoder uses the upper logarithm.
pub const LOG3_UPPER_CODE_BREAK: f64 = 0.15277891;

/// Light of a logarithm of that slope and gain; `codes` counts from its offset, 0 or more.
fn antilog_part(slope: f64, gain: f64, codes: f64) -> f64 {
    ((antilog(10.0, codes / slope) - 1.0) / gain * WHITE_REFLECTANCE).min(LARGEST_LIGHT)
}

fn log_part(slope: f64, gain: f64, linear: f64) -> f64 {
    slope * (gain * (linear / WHITE_REFLECTANCE) + 1.0).log10()
}

pub(super) fn linear_from_log2(code: f64) -> f64 {
    odd(code - LOG2_OFFSET, |c| antilog_part(LOG2_SLOPE, LOG2_GAIN, c))
}

pub(super) fn log2_from_linear(linear: f64) -> f64 {
    odd(linear, |x| log_part(LOG2_SLOPE, LOG2_GAIN, x)) + LOG2_OFFSET
}

fn upper_antilog(code: f64) -> f64 {
    antilog_part(LOG3_SLOPE, LOG3_GAIN, code - LOG3_UPPER_OFFSET)
}

fn lower_antilog(code: f64) -> f64 {
    -antilog_part(LOG3_SLOPE, LOG3_GAIN, LOG3_LOWER_OFFSET - code)
}

fn straight_inverse(code: f64) -> f64 {
    (code - LOG3_LINEAR_OFFSET) / LOG3_LINEAR_SLOPE * WHITE_REFLECTANCE
}

fn upper_log(linear: f64) -> f64 {
    log_part(LOG3_SLOPE, LOG3_GAIN, linear) + LOG3_UPPER_OFFSET
}

fn lower_log(linear: f64) -> f64 {
    LOG3_LOWER_OFFSET - log_part(LOG3_SLOPE, LOG3_GAIN, -linear)
}

fn straight(linear: f64) -> f64 {
    LOG3_LINEAR_SLOPE * (linear / WHITE_REFLECTANCE) + LOG3_LINEAR_OFFSET
}

fn lower_joint() -> Joint {
    let code = LOG3_LOWER_CODE_BREAK;
    Joint { code, below: lower_antilog(code), above: straight_inverse(code) }
}

fn upper_joint() -> Joint {
    // The published break belongs to the straight part.
    let code = LOG3_UPPER_CODE_BREAK.next_up();
    Joint { code, below: straight_inverse(code), above: upper_antilog(code) }
}

pub(super) fn linear_from_log3(code: f64) -> f64 {
    if code < LOG3_LOWER_CODE_BREAK {
        lower_antilog(code)
    } else if code <= LOG3_UPPER_CODE_BREAK {
        straight_inverse(code)
    } else {
        upper_antilog(code)
    }
}

pub(super) fn log3_from_linear(form: Form, linear: f64) -> f64 {
    // The document prints the breaks in code alone; in light they lie at about 0.0126 on either side.
    match form {
        Form::Published if linear < straight_inverse(LOG3_LOWER_CODE_BREAK) => lower_log(linear),
        Form::Published if linear <= straight_inverse(LOG3_UPPER_CODE_BREAK) => straight(linear),
        Form::Published => upper_log(linear),
        Form::Exact => lower_joint().encode(linear, lower_log, |x| upper_joint().encode(x, straight, upper_log)),
    }
}

pub(super) fn log3_overlap() -> f64 {
    let lower = lower_joint().overlap(lower_log, straight);
    lower.max(upper_joint().overlap(straight, upper_log))
}

pub(super) fn log3_gap() -> f64 {
    lower_joint().gap().max(upper_joint().gap())
}
