//! N-Log: a logarithm above, a cube root below. The decoder steps down at its break, so it is not injective there.
//!
//! # Source
//! Nikon, N-Log Specification Document, 2018.

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog};

/// Factor on the cube root.
pub const A: f64 = 650.0 / 1023.0;
/// Offset inside the cube root.
pub const B: f64 = 0.0075;
/// Factor on the natural logarithm.
pub const C: f64 = 150.0 / 1023.0;
/// Offset of the logarithm.
pub const D: f64 = 619.0 / 1023.0;
/// Light at which the published encoder changes to the logarithm.
pub const LINEAR_BREAK: f64 = 0.328;
/// Code at which the published decoder changes to the logarithm.
pub const CODE_BREAK: f64 = 452.0 / 1023.0;

/// Light of the cube part at the break, (452 / 650)^3 - 0.0075.
const BELOW: f64 = {
    let root = CODE_BREAK / A;
    root * root * root - B
};
/// Light of the logarithmic part at the break: exp((452 - 619) / 150).
const ABOVE: f64 = 0.3284622600554351;

pub(super) const JOINT: Joint = Joint { code: CODE_BREAK, below: BELOW, above: ABOVE };

fn cube_root_part(linear: f64) -> f64 {
    A * (linear + B).cbrt()
}

fn log_part(linear: f64) -> f64 {
    C * linear.ln() + D
}

pub(super) fn linear_from_code(code: f64) -> f64 {
    if code >= CODE_BREAK {
        antilog(std::f64::consts::E, (code - D) / C).min(LARGEST_LIGHT)
    } else {
        (code / A).powi(3) - B
    }
}

pub(super) fn code_from_linear(form: Form, linear: f64) -> f64 {
    match form {
        Form::Published if linear >= LINEAR_BREAK => log_part(linear),
        Form::Published => cube_root_part(linear),
        Form::Exact => JOINT.encode(linear, cube_root_part, log_part),
    }
}

pub(super) fn overlap() -> f64 {
    JOINT.overlap(cube_root_part, log_part)
}
