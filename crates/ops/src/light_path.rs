//! The channel gains that move the light of a picture along the mired scale and along Duv.
//!
//! `ln gain = mired * per_mired + duv * per_duv`, channel by channel: logarithms linear in both numbers, so that
//! shifts add exactly and minus undoes exactly. The two directions are taken from light itself: from the channels
//! of D65 moved by 100 mired to either side along the Planckian locus at D65's own Duv, and by 0.01 to either side
//! along the normal in CIE 1960 (u, v). Each is a secant over the range that a control covers; from both the part
//! that is plain exposure is taken out, so that `sum of w ln gain = 0` with the luminance weights w.
//!
//! A straight line in logarithms cannot follow the curved locus. What it misses by for grey on AP1, in the frame where
//! equal RGB is D65 (the tests of `light_shift.rs` hold it to that): at 50 mired -0.4 (towards blue) or -3.4 mired and up to 0.0005 of
//! Duv; at 100 mired -8 or -10 mired and 0.0018 of Duv, always to the green side; the luminance of grey rises by up
//! to 0.03 stop. The tangent at D65 would miss by 12 mired and 0.0022 at the blue end, a longer secant by more
//! mired at the warm one.
//!
//! # Source
//! CIE 15:2018 (Planckian radiator, CIE 1960 u, v), ANSI C78.377 (Duv), NPM: SMPTE RP 177. The straight line in
//! logarithms is a choice of this house.

use std::sync::LazyLock;

use colour::cct::cct_duv;
use colour::locus::{kelvin_from_mired, mired_from_kelvin, xy_from_cct_duv};
use colour::{Primaries, Xy, primaries};

use crate::white_balance::xyz_with_d65;
use crate::{OpError, Signal};

/// Half the secant along the locus, in mired: the soft range of the controls.
const MIRED: f64 = 100.0;
/// Half the secant across the locus, in CIE 1960 (u, v): half the soft range of the controls.
const DUV: f64 = 0.01;

/// Warmer, bluer, greener and more magenta than D65, by [`MIRED`] and [`DUV`]; none only if the locus failed.
static LIGHTS: LazyLock<Option<[Xy; 4]>> = LazyLock::new(|| {
    let (kelvin, duv) = cct_duv(primaries::D65).ok()?;
    let at = |mired, duv| xy_from_cct_duv(kelvin_from_mired(mired_from_kelvin(kelvin) + mired), duv).ok();
    Some([at(MIRED, duv)?, at(-MIRED, duv)?, at(0.0, duv + DUV)?, at(0.0, duv - DUV)?])
});

/// Logarithms of red, green and blue gains for one mired and for one Duv.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct LightPath {
    /// ln gain per mired.
    pub per_mired: [f64; 3],
    /// ln gain per unit of Duv.
    pub per_duv: [f64; 3],
}

impl LightPath {
    /// The gains of these primaries; none where they cannot mix the lights with three positive channels.
    pub fn of(space: &Primaries) -> Option<Self> {
        let from_xyz = xyz_with_d65(space).inverse()?;
        let weights = space.luminance_weights();
        let log_of = |light: Xy| from_xyz.apply(light.to_xyz()).map(f64::ln);
        let slope = |more: Xy, less: Xy, apart: f64| {
            let (more, less) = (log_of(more), log_of(less));
            let slope: [f64; 3] = std::array::from_fn(|i| (more[i] - less[i]) / apart);
            let exposure = weights[0] * slope[0] + weights[1] * slope[1] + weights[2] * slope[2];
            slope.map(|channel| channel - exposure)
        };
        let [warmer, bluer, greener, pinker] = (*LIGHTS)?;
        let path = Self { per_mired: slope(warmer, bluer, 2.0 * MIRED), per_duv: slope(greener, pinker, 2.0 * DUV) };
        // The logarithm of a channel at or below zero is no number.
        path.per_mired.iter().chain(&path.per_duv).all(|slope| slope.is_finite()).then_some(path)
    }

    /// As [`LightPath::of`] for what reaches an operation.
    ///
    /// # Errors
    /// Primaries that cannot mix the lights.
    pub fn for_signal(operation: &'static str, given: &Signal) -> Result<Self, OpError> {
        Self::of(&given.primaries).ok_or_else(|| OpError::Setting {
            operation,
            field: "mired",
            reason: format!(
                "the primaries of {given} cannot mix the lights that it goes by; give it a wider domain, such as scene"
            ),
        })
    }

    /// ln gain of each channel.
    pub fn log_gains(&self, mired: f64, duv: f64) -> [f64; 3] {
        std::array::from_fn(|i| mired * self.per_mired[i] + duv * self.per_duv[i])
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn luminance_by_weights_is_kept() {
        for name in Primaries::names() {
            let space = Primaries::named(name).unwrap();
            let path = LightPath::of(&space).unwrap();
            for slope in [path.per_mired, path.per_duv] {
                let sum: f64 = space.luminance_weights().iter().zip(slope).map(|(w, s)| w * s).sum();
                // Roundings of terms of at most 15.
                assert!(sum.abs() < 1e-13, "{name}: {sum}");
            }
        }
    }

    #[test]
    fn warmer_is_more_red_than_blue_and_greener_is_green_everywhere() {
        for name in Primaries::names() {
            let path = LightPath::of(&Primaries::named(name).unwrap()).unwrap();
            let [red, _, blue] = path.per_mired;
            assert!(red > 0.0 && blue < 0.0, "{name}: {path:?}");
            let [red, green, blue] = path.per_duv;
            assert!(green > red && green > blue, "{name}: {path:?}");
        }
    }

    #[test]
    fn primaries_that_hold_no_warm_light_are_refused() {
        let near = |x, y| Xy::new(0.3127 + x, 0.3290 + y);
        let narrow = Primaries::new("narrow", near(0.01, 0.0), near(-0.01, 0.01), near(0.0, -0.01), primaries::D65);
        assert_eq!(LightPath::of(&narrow.unwrap()), None);
    }
}
