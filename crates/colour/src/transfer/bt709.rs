//! The camera curve of BT.709 (its opto-electronic transfer function), mirrored about 0.
//!
//! # Source
//! Rec. ITU-R BT.709-6, item 1.2.

use super::pieces::Joint;
use super::{Form, odd};

/// Slope of the straight part.
pub const SLOPE: f64 = 4.5;
/// Factor on the power part.
pub const ALPHA: f64 = 1.099;
/// Exponent from light to code.
pub const EXPONENT: f64 = 0.45;
/// Below this light the encoder is straight.
pub const LINEAR_BREAK: f64 = 0.018;
/// Below this code the decoder is straight: 4.5 x 0.018.
pub const CODE_BREAK: f64 = 0.081;

fn power_inverse(code: f64) -> f64 {
    ((code + ALPHA - 1.0) / ALPHA).powf(1.0 / EXPONENT)
}

fn power(linear: f64) -> f64 {
    ALPHA * linear.powf(EXPONENT) - (ALPHA - 1.0)
}

fn straight(linear: f64) -> f64 {
    SLOPE * linear
}

pub(super) fn joint() -> Joint {
    Joint { code: CODE_BREAK, below: CODE_BREAK / SLOPE, above: power_inverse(CODE_BREAK) }
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    odd(code, |c| if c < CODE_BREAK { c / SLOPE } else { power_inverse(c) })
}

pub(super) fn code_from_linear(form: Form, linear: f64) -> f64 {
    odd(linear, |x| match form {
        Form::Published if x < LINEAR_BREAK => straight(x),
        Form::Published => power(x),
        Form::Exact => joint().encode(x, straight, power),
    })
}

pub(super) fn overlap() -> f64 {
    joint().overlap(straight, power)
}
