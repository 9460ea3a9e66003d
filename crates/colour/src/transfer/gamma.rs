//! Power laws of displays.

use super::{Form, odd};

/// The exponent of BT.1886. Source: Rec. ITU-R BT.1886, annex 1.
pub const BT1886_EXPONENT: f64 = 2.4;

pub(super) fn linear_from_code(exponent: f64, code: f64) -> f64 {
    odd(code, |c| c.powf(exponent))
}

pub(super) fn code_from_linear(exponent: f64, linear: f64) -> f64 {
    odd(linear, |x| x.powf(1.0 / exponent))
}

/// The electro-optical transfer function of BT.1886, L = a max(V + b, 0) ^ 2.4, for one peak and black.
///
/// # Source
/// Rec. ITU-R BT.1886, annex 1.
#[derive(Clone, Copy, PartialEq, Debug)]
pub struct Bt1886 {
    /// User gain a, in nits.
    pub gain_nits: f64,
    /// User black lift b, in signal.
    pub lift: f64,
    /// Luminance of black in nits.
    pub black_nits: f64,
    /// Peak less black in nits.
    pub span_nits: f64,
}

impl Bt1886 {
    /// The curve for a peak and a black in nits. Values that are no display (peak not above black, black below 0)
    /// give the curve of peak 1 and black 0.
    pub fn new(peak_nits: f64, black_nits: f64) -> Bt1886 {
        let sound = black_nits >= 0.0 && peak_nits > black_nits && peak_nits.is_finite();
        let (peak, black) = if sound { (peak_nits, black_nits) } else { (1.0, 0.0) };
        let root = |nits: f64| nits.powf(1.0 / BT1886_EXPONENT);
        let (white, dark) = (root(peak), root(black));
        Bt1886 {
            gain_nits: (white - dark).powf(BT1886_EXPONENT),
            lift: dark / (white - dark),
            black_nits: black,
            span_nits: peak - black,
        }
    }

    pub(super) fn linear_from_code(&self, form: Form, code: f64) -> f64 {
        let lifted = code + self.lift;
        let nits = match form {
            Form::Published => self.gain_nits * lifted.max(0.0).powf(BT1886_EXPONENT),
            Form::Exact => self.gain_nits * linear_from_code(BT1886_EXPONENT, lifted),
        };
        (nits - self.black_nits) / self.span_nits
    }

    pub(super) fn code_from_linear(&self, form: Form, linear: f64) -> f64 {
        let nits = self.black_nits + linear * self.span_nits;
        let held = if form == Form::Published { nits.max(0.0) } else { nits };
        code_from_linear(BT1886_EXPONENT, held / self.gain_nits) - self.lift
    }
}
