//! Code values to linear light by a curve. A conversion: elaboration inserts it.
//!
//! `input-transform` decodes as published; conversions between domains use the published decoder
//! without its clamps, so that [`crate::light_to_code`] can undo them exactly. Per channel; the
//! domain is the whole real line. Invertible where the published decoder is one-to-one.
//!
//! # Source
//! Each curve's own document, named in `colour::transfer`.

use colour::transfer::{Form, Transfer};

use crate::{Budget, Curve, Derived, Eval, Point, Pointwise, Shader, Signal, curve_constants};

/// A pair whose published branches part by less than this much code is exact in f32: half a step of f32 near code one half.
pub(crate) const EXACT_TO_CODE: f64 = 3e-8;

/// Decoding by a curve.
#[derive(Debug, Clone, PartialEq)]
pub struct CodeToLight {
    /// The curve.
    pub curve: Curve,
    /// As printed, or unclamped with an exact inverse.
    pub form: Form,
}

impl CodeToLight {
    /// Decoding as the maker printed it.
    pub fn published(curve: Curve) -> Self {
        Self { curve, form: Form::Published }
    }

    /// Decoding over the whole real line, with an exact inverse.
    pub fn exact(curve: Curve) -> Self {
        Self { curve, form: Form::Exact }
    }
}

impl Pointwise for CodeToLight {
    fn describe(&self) -> String {
        format!("decode {}, {}", self.curve.name, form_name(self.form))
    }

    fn shader(&self) -> Shader {
        curve_constants::decode(&self.curve.transfer, self.form).0
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let (transfer, form) = (self.curve.transfer.clone(), self.form);
        Box::new(move |rgb| rgb.map(|code| transfer.decode(form, code)))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        curve_constants::decode(&self.curve.transfer, self.form).1
    }

    fn budget(&self) -> Budget {
        curve_budget(&self.curve.transfer)
    }

    fn is_undone_by(&self, next: &Point) -> bool {
        matches!(next, Point::LightToCode(next)
            if self.form == Form::Exact && next.form == Form::Exact && next.curve == self.curve
                && self.curve.transfer.overlap_in_code() < EXACT_TO_CODE)
    }
}

/// The form as dumps print it.
pub(crate) fn form_name(form: Form) -> &'static str {
    match form {
        Form::Published => "as published",
        Form::Exact => "exact",
    }
}

/// What one curve may cost in f32.
///
/// WGSL grants exp2 an error of 3 + 2|x| units and log2 of 3 units or 2^-21, whichever is larger.
/// The curves call exp2 with |x| below 12 on picture code, so 30 units; the rest is rounding of the
/// constants. PQ and HLG go through two powers. The floor covers log2 near one (2^-21, halved by
/// every curve's slope of less than a half code a stop).
///
/// # Source
/// WGSL specification, accuracy of concrete floating-point expressions.
pub(crate) fn curve_budget(transfer: &Transfer) -> Budget {
    match transfer {
        Transfer::Linear | Transfer::Table(_) => Budget { ulps: 4.0, floor: 1e-9 },
        Transfer::Pq | Transfer::Hlg => Budget { ulps: 64.0, floor: 3e-7 },
        _ => Budget { ulps: 32.0, floor: 2.5e-7 },
    }
}
