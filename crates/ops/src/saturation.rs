//! Saturation: colours paler or more colourful, at the same luminance.
//!
//! `out = Y + factor (rgb - Y)` with `Y` the luminance of the signal's own primaries. One matrix; factor 0 is a
//! black-and-white picture. Domain and range: the whole real line. Negatives and values above one follow the matrix; a
//! factor above one makes negatives of colours near the edge of the gamut. Greys stay. Alpha is untouched.
//! Invertible: the same with `1 / factor`, for factors within the range of the setting.
//!
//! # Source
//! Luminance weights: SMPTE RP 177. Mixing with luminance: common practice, no source.

use colour::Matrix;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

/// The largest factor accepted; what is undone by a larger one has no inverse here.
const LARGEST: f64 = 8.0;

settings! {
    /// How colourful.
    pub struct Saturation {
        /// Distance of every colour from its grey, as a factor: 0 is black and white, above 1 is more colourful.
        factor: f64 = 1.0, Scale, Factor, soft (0.0, 2.0), hard (0.0, LARGEST), ends ("paler", "more colourful");
    }
}

impl Operation for Saturation {
    const ID: &'static str = "saturation";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "makes colours paler or more colourful at the same luminance";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.factor == 1.0
    }

    fn uses_primaries(&self) -> bool {
        true
    }

    fn inverse(&self) -> Option<Self> {
        (self.factor >= 1.0 / LARGEST).then(|| Self { factor: 1.0 / self.factor })
    }
}

impl Pointwise for Saturation {
    fn describe(&self) -> String {
        format!("saturation {}", self.factor)
    }

    fn shader(&self) -> Shader {
        shader!("ops/saturation.wgsl", "Saturation", "op_saturation")
    }

    fn eval(&self, takes: &Signal) -> Eval {
        if self.is_neutral() {
            return Box::new(|rgb| rgb);
        }
        let (factor, to_xyz) = (self.factor, takes.primaries.xyz_from_rgb());
        Box::new(move |rgb| {
            let [_, luminance, _] = to_xyz.apply(rgb);
            rgb.map(|channel| luminance + factor * (channel - luminance))
        })
    }

    fn derive(&self, takes: &Signal) -> Derived {
        let matrix = self.matrix(takes).unwrap_or(Matrix::IDENTITY);
        Derived::new(vec![("matrix", Constant::Matrix(matrix.0))])
    }

    fn matrix(&self, takes: &Signal) -> Option<Matrix> {
        let grey = takes.primaries.luminance_weights().map(|weight| weight * (1.0 - self.factor));
        let own = |row: usize, column: usize| if row == column { self.factor } else { 0.0 };
        Some(Matrix(std::array::from_fn(|row| std::array::from_fn(|column| grey[column] + own(row, column)))))
    }

    fn budget(&self) -> Budget {
        // Three products and two sums a channel with constants rounded to f32; at large factors the terms are several
        // times the result.
        Budget { ulps: 4.0 + 4.0 * self.factor, floor: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn saturated(factor: f64, rgb: [f64; 3]) -> [f64; 3] {
        Saturation { factor }.eval(&Signal::scene())(rgb)
    }

    fn luminance(rgb: [f64; 3]) -> f64 {
        Signal::scene().primaries.xyz_from_rgb().apply(rgb)[1]
    }

    #[test]
    fn factor_zero_is_black_and_white() {
        // Academy TB-2014-004: AP1 red has a luminance of 0.2722287168.
        for channel in saturated(0.0, [1.0, 0.0, 0.0]) {
            assert!((channel - 0.272_228_716_8).abs() < 1e-9, "{channel}");
        }
    }

    #[test]
    fn only_factors_in_range_have_an_inverse() {
        assert_eq!(Saturation { factor: 0.5 }.inverse(), Some(Saturation { factor: 2.0 }));
        assert_eq!(Saturation { factor: 0.0 }.inverse(), None);
        assert_eq!(Saturation { factor: 0.1 }.inverse(), None);
    }

    proptest! {
        #[test]
        fn luminance_stays_and_factors_multiply(
            rgb in proptest::array::uniform3(-1.0f64..20.0), a in 0.0f64..4.0, b in 0.0f64..2.0
        ) {
            let once = saturated(a * b, rgb);
            let twice = saturated(b, saturated(a, rgb));
            for (once, twice) in once.into_iter().zip(twice) {
                prop_assert!((once - twice).abs() < 1e-12 * 200.0, "{once} {twice}");
            }
            prop_assert!((luminance(once) - luminance(rgb)).abs() < 1e-12 * 200.0);
        }
    }
}
