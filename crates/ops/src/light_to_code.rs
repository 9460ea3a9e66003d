//! Linear light to code values by a curve. A conversion: elaboration inserts it.
//!
//! `encode` encodes as published; conversions between domains use the exact inverse of the published
//! decoder, monotone and unclamped over the real line. Per channel.
//!
//! # Source
//! Each curve's own document, named in `colour::transfer`.

use colour::transfer::Form;

use crate::code_to_light::{EXACT_TO_CODE, curve_budget, form_name};
use crate::{Budget, Curve, Derived, Eval, Point, Pointwise, Shader, Signal, curve_constants};

/// Encoding by a curve.
#[derive(Debug, Clone, PartialEq)]
pub struct LightToCode {
    /// The curve.
    pub curve: Curve,
    /// As printed, or the exact inverse of the published decoder.
    pub form: Form,
}

impl LightToCode {
    /// Encoding as the maker printed it.
    pub fn published(curve: Curve) -> Self {
        Self { curve, form: Form::Published }
    }

    /// The exact inverse of the published decoder.
    pub fn exact(curve: Curve) -> Self {
        Self { curve, form: Form::Exact }
    }
}

impl Pointwise for LightToCode {
    fn describe(&self) -> String {
        format!("encode {}, {}", self.curve.name, form_name(self.form))
    }

    fn shader(&self) -> Shader {
        curve_constants::encode(&self.curve.transfer, self.form).0
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let (transfer, form) = (self.curve.transfer.clone(), self.form);
        Box::new(move |rgb| rgb.map(|light| transfer.encode(form, light)))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        curve_constants::encode(&self.curve.transfer, self.form).1
    }

    fn budget(&self) -> Budget {
        curve_budget(&self.curve.transfer)
    }

    fn is_undone_by(&self, next: &Point) -> bool {
        // A gap is measured in light; near the breaks a code step is at least a tenth of a light step.
        matches!(next, Point::CodeToLight(next)
            if self.form == Form::Exact && next.form == Form::Exact && next.curve == self.curve
                && self.curve.transfer.gap_in_linear() < EXACT_TO_CODE)
    }
}
