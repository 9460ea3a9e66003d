//! The general camera curve: a logarithm above a break, a straight line below.

use super::pieces::Joint;
use super::{Form, LARGEST_LIGHT, antilog, log_to};

/// y = c log_base(a x + b) + d above the break, y = e x + f below.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LogSegments {
    /// Base of the logarithm.
    pub base: f64,
    /// Factor on linear light inside the logarithm.
    pub a: f64,
    /// Offset inside the logarithm.
    pub b: f64,
    /// Factor on the logarithm.
    pub c: f64,
    /// Offset on the logarithm.
    pub d: f64,
    /// Slope of the straight part.
    pub e: f64,
    /// Code of linear 0 on the straight part.
    pub f: f64,
}

impl LogSegments {
    /// Code of light on the logarithmic part.
    pub fn log_part(&self, linear: f64) -> f64 {
        self.c * log_to(self.base, self.a * linear + self.b) + self.d
    }

    /// Light of a code on the logarithmic part, held below [`LARGEST_LIGHT`].
    pub fn antilog_part(&self, code: f64) -> f64 {
        let inside = antilog(self.base, (code - self.d) / self.c);
        ((inside - self.b) / self.a).min(LARGEST_LIGHT)
    }

    /// Code of light on the straight part.
    pub fn straight_part(&self, linear: f64) -> f64 {
        self.e * linear + self.f
    }

    /// Light of a code on the straight part.
    pub fn straight_inverse(&self, code: f64) -> f64 {
        (code - self.f) / self.e
    }

    /// Code per stop far above the break.
    pub fn code_per_stop(&self) -> f64 {
        self.c * std::f64::consts::LN_2 / self.base.ln()
    }
}

/// A camera curve as published: an encoder with its break in light, a decoder with its break in code.
/// Usually both have the same segments; D-Log prints its decoder with constants of its own.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct LogCurve {
    /// What the published encoder evaluates.
    pub encoder: LogSegments,
    /// The smallest light on the encoder's logarithmic part.
    pub linear_cut: f64,
    /// What the published decoder inverts.
    pub decoder: LogSegments,
    /// The smallest code on the decoder's logarithmic part.
    pub code_cut: f64,
}

impl LogCurve {
    /// A curve whose decoder inverts the encoder's own segments.
    pub const fn new(segments: LogSegments, linear_cut: f64, code_cut: f64) -> LogCurve {
        LogCurve { encoder: segments, linear_cut, decoder: segments, code_cut }
    }

    pub(super) fn linear_from_code(&self, code: f64) -> f64 {
        if code >= self.code_cut { self.decoder.antilog_part(code) } else { self.decoder.straight_inverse(code) }
    }

    pub(super) fn code_from_linear(&self, form: Form, linear: f64) -> f64 {
        match form {
            Form::Published if linear >= self.linear_cut => self.encoder.log_part(linear),
            Form::Published => self.encoder.straight_part(linear),
            Form::Exact => self.joint().encode(linear, self.code_below(), self.code_above()),
        }
    }

    pub(super) fn joint(&self) -> Joint {
        Joint {
            code: self.code_cut,
            below: self.decoder.straight_inverse(self.code_cut),
            above: self.decoder.antilog_part(self.code_cut),
        }
    }

    pub(super) fn code_below(&self) -> impl Fn(f64) -> f64 {
        let segments = self.decoder;
        move |x| segments.straight_part(x)
    }

    pub(super) fn code_above(&self) -> impl Fn(f64) -> f64 {
        let segments = self.decoder;
        move |x| segments.log_part(x)
    }

    /// Whether the curve rises and is finite over the real line: what an encoding file must give.
    pub fn is_sound(&self) -> bool {
        let s = &self.decoder;
        let numbers = [s.base, s.a, s.b, s.c, s.d, s.e, s.f, self.linear_cut, self.code_cut];
        let joint = self.joint();
        numbers.iter().all(|v| v.is_finite())
            && s.base > 1.0
            && s.a > 0.0
            && s.c > 0.0
            && s.e > 0.0
            && s.a * joint.above + s.b > 0.0
            && joint.below.is_finite()
            && joint.above.is_finite()
    }
}
