//! Apple Log: a logarithm above, a parabola below.
//!
//! # Source
//! Apple, Apple Log Profile White Paper, 2023.

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog};

/// Light of code 0: the vertex of the parabola.
pub const R0: f64 = -0.05641088;
/// Light at which the logarithm begins.
pub const RT: f64 = 0.01;
/// Curvature of the parabola: code = C (R - R0)^2.
pub const C: f64 = 47.28711236;
/// Offset inside the logarithm.
pub const BETA: f64 = 0.00964052;
/// Code per stop of the logarithm.
pub const GAMMA: f64 = 0.08550479;
/// Offset of the logarithm.
pub const DELTA: f64 = 0.69336945;
/// The code at which the decoder changes to the logarithm: C (RT - R0)^2.
pub const CODE_BREAK: f64 = C * (RT - R0) * (RT - R0);

fn joint() -> Joint {
    Joint { code: CODE_BREAK, below: parabola_inverse(CODE_BREAK), above: antilog_part(CODE_BREAK) }
}

fn antilog_part(code: f64) -> f64 {
    (antilog(2.0, (code - DELTA) / GAMMA) - BETA).min(LARGEST_LIGHT)
}

fn log_part(linear: f64) -> f64 {
    GAMMA * (linear + BETA).log2() + DELTA
}

/// The parabola, mirrored about its vertex below it, so that code falls on without end.
fn parabola(linear: f64) -> f64 {
    let from_vertex = linear - R0;
    C * from_vertex * from_vertex.abs()
}

fn parabola_inverse(code: f64) -> f64 {
    R0 + (code.abs() / C).sqrt().copysign(code)
}

pub(super) fn linear_from_code(form: Form, code: f64) -> f64 {
    if code >= CODE_BREAK {
        antilog_part(code)
    } else if code < 0.0 && form == Form::Published {
        R0
    } else {
        parabola_inverse(code)
    }
}

pub(super) fn code_from_linear(form: Form, linear: f64) -> f64 {
    match form {
        Form::Published if linear >= RT => log_part(linear),
        Form::Published => parabola(linear).max(0.0),
        Form::Exact => joint().encode(linear, parabola, log_part),
    }
}

pub(super) fn overlap() -> f64 {
    joint().overlap(parabola, log_part)
}

pub(super) fn gap() -> f64 {
    joint().gap()
}
