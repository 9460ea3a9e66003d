//! Hybrid log-gamma: the camera curve, mirrored about 0. Linear is scene light E, 0..1.
//!
//! # Source
//! Rec. ITU-R BT.2100-2, table 5.

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog, odd};

/// a.
pub const A: f64 = 0.17883277;
/// b = 1 - 4 a.
pub const B: f64 = 1.0 - 4.0 * A;
/// c = 0.5 - a ln(4 a), in full; the Recommendation prints 0.55991073.
pub const C: f64 = 0.559910729529562;
/// Light at which the square root ends.
pub const LINEAR_BREAK: f64 = 1.0 / 12.0;
/// Code at which the square root ends.
pub const CODE_BREAK: f64 = 0.5;

fn log_part(linear: f64) -> f64 {
    A * (12.0 * linear - B).ln() + C
}

fn antilog_part(code: f64) -> f64 {
    ((antilog(std::f64::consts::E, (code - C) / A) + B) / 12.0).min(LARGEST_LIGHT)
}

fn root_part(linear: f64) -> f64 {
    (3.0 * linear).sqrt()
}

pub(super) fn joint() -> Joint {
    let code = CODE_BREAK.next_up();
    Joint { code, below: code * code / 3.0, above: antilog_part(code) }
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    odd(code, |c| if c <= CODE_BREAK { c * c / 3.0 } else { antilog_part(c) })
}

pub(super) fn code_from_linear(form: Form, linear: f64) -> f64 {
    odd(linear, |x| match form {
        Form::Published if x <= LINEAR_BREAK => root_part(x),
        Form::Published => log_part(x),
        Form::Exact => joint().encode(x, root_part, log_part),
    })
}

pub(super) fn overlap() -> f64 {
    joint().overlap(root_part, log_part)
}
