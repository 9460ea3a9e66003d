//! The curve of sRGB, mirrored about 0 (the standard defines 0..1).
//!
//! # Source
//! IEC 61966-2-1:1999.

use super::pieces::Joint;
use super::{Form, odd};

/// Slope of the straight part.
pub const SLOPE: f64 = 12.92;
/// Factor on the power part.
pub const ALPHA: f64 = 1.055;
/// Exponent from code to light.
pub const EXPONENT: f64 = 2.4;
/// Up to this light the encoder is straight.
pub const LINEAR_BREAK: f64 = 0.0031308;
/// Up to this code the decoder is straight: 12.92 x 0.0031308, which the standard prints rounded, as 0.04045.
pub const CODE_BREAK: f64 = SLOPE * LINEAR_BREAK;

fn power_inverse(code: f64) -> f64 {
    ((code + ALPHA - 1.0) / ALPHA).powf(EXPONENT)
}

fn power(linear: f64) -> f64 {
    ALPHA * linear.powf(1.0 / EXPONENT) - (ALPHA - 1.0)
}

fn straight(linear: f64) -> f64 {
    linear * SLOPE
}

pub(super) fn joint() -> Joint {
    let code = CODE_BREAK.next_up();
    Joint { code, below: code / SLOPE, above: power_inverse(code) }
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    odd(code, |c| if c <= CODE_BREAK { c / SLOPE } else { power_inverse(c) })
}

pub(super) fn code_from_linear(form: Form, linear: f64) -> f64 {
    odd(linear, |x| match form {
        Form::Published if x <= LINEAR_BREAK => straight(x),
        Form::Published => power(x),
        Form::Exact => joint().encode(x, straight, power),
    })
}

pub(super) fn overlap() -> f64 {
    joint().overlap(straight, power)
}
