//! Light of a display of a high peak, fitted to a display of another peak and black with hue kept.
//!
//! With `m` the largest of red, green and blue in nits and `f` the published transfer from 0..`from_peak` to
//! black..peak: `c' = (c / m) (f(m) - black) + black`. All channels are scaled alike and a raised black is added
//! neutrally, so that without it the ratios of the channels stay, and below the knee every colour stays as it is. As
//! printed, `f` passes the peak by a little where a black is raised, and `m` may lie above `from_peak`: what would come
//! out above the peak is held there, as the display would hold it, and only that; hue stays there too.
//! Domain: the whole real line, 1.0 being 100 nits. The lift of a raised black is without end steep at no light, and
//! would tear noise about black apart; so `m` below a hundredth of a nit, and with it a pixel without a channel above
//! zero, is scaled as at that light. A negative channel is scaled with its neighbours. Alpha is untouched. One-to-one below the peak; no operation undoes it.
//!
//! # Source
//! Report ITU-R BT.2390, 5.4.1. Working it on the largest channel, and holding it at the peak: common practice, no source.

use colour::eetf::Eetf;
use colour::transfer::pq;

use crate::{Budget, Constant, Derived, Eval, Pointwise, Shader, Signal};

/// Light below which the factor no longer grows, in nits: code 22 of 1023 in PQ, fourteen stops below
/// a white of 160 nits.
const LEAST_NITS: f64 = 0.01;

/// Nits that 1.0 stands for before the step.
const NITS_OF_ONE: f64 = 100.0;

/// Beyond every picture, finite in f32.
const NEVER: f64 = 1e30;

/// The fit of one display's light to another display.
#[derive(Debug, Clone, PartialEq)]
pub struct PeakFit {
    /// Peak of the display whose light comes; its black is 0.
    pub from_peak_nits: f64,
    /// Peak of the display that the light is fitted to.
    pub peak_nits: f64,
    /// Its black.
    pub black_nits: f64,
    /// Light that 0 stands for in what leaves.
    pub zero_nits: f64,
    /// Light from there to 1.0.
    pub unit_nits: f64,
}

impl PeakFit {
    fn eetf(&self) -> Eetf {
        Eetf::new(self.from_peak_nits, 0.0, self.peak_nits, self.black_nits)
    }

    /// Light up to which every colour stays as it is; none where a black is lifted or a very low peak bends all.
    fn untouched_nits(&self) -> Option<f64> {
        let knee = self.eetf().knee_nits();
        (self.black_nits == 0.0 && knee > LEAST_NITS).then_some(knee)
    }
}

impl Pointwise for PeakFit {
    fn describe(&self) -> String {
        let Self { from_peak_nits, peak_nits, black_nits, .. } = self;
        format!("light of a display of {from_peak_nits} nits fitted to {peak_nits}/{black_nits} nits")
    }

    fn shader(&self) -> Shader {
        shader!("ops/peak_fit.wgsl", "PeakFit", "op_peak_fit")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let Self { peak_nits, black_nits, zero_nits, unit_nits, .. } = *self;
        let (eetf, untouched) = (self.eetf(), self.untouched_nits());
        Box::new(move |rgb| {
            let nits = rgb.map(|channel| channel * NITS_OF_ONE);
            let largest = nits.into_iter().fold(f64::NEG_INFINITY, f64::max);
            let factor = if untouched.is_some_and(|knee| largest <= knee) {
                1.0
            } else {
                let light = largest.max(LEAST_NITS);
                (eetf.fitted_nits(light).min(peak_nits) - black_nits) / light
            };
            nits.map(|channel| (channel * factor + black_nits - zero_nits) / unit_nits)
        })
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let dark = pq::code_of_zero();
        let span = pq::code_from_nits(self.from_peak_nits) - dark;
        let on_scale = |nits: f64| (pq::code_from_nits(nits) - dark) / span;
        let (peak, black) = (on_scale(self.peak_nits), on_scale(self.black_nits));
        let knee = 1.5f64.mul_add(peak, -0.5).clamp(0.0, 1.0);
        let of_bend = if knee < 1.0 { (1.0 - knee).recip() } else { 0.0 };
        let untouched = self.untouched_nits().unwrap_or(-NEVER);
        Derived::new(vec![
            ("untouched", Constant::Break(untouched / NITS_OF_ONE)),
            ("least", Constant::Scalar(LEAST_NITS / NITS_OF_ONE)),
            ("of_span", Constant::Scalar(span.recip())),
            ("span", Constant::Scalar(span)),
            ("knee", Constant::Scalar(knee)),
            ("of_bend", Constant::Scalar(of_bend)),
            ("rise", Constant::Scalar(if knee < 1.0 { peak - knee } else { 0.0 })),
            ("lift", Constant::Scalar(black)),
            ("exponent", Constant::Scalar(black.max(0.25).recip())),
            ("peak", Constant::Scalar(self.peak_nits / NITS_OF_ONE)),
            ("black", Constant::Scalar(self.black_nits / NITS_OF_ONE)),
            ("scale", Constant::Scalar(NITS_OF_ONE / self.unit_nits)),
            ("offset", Constant::Scalar((self.black_nits - self.zero_nits) / self.unit_nits)),
        ])
    }

    fn budget(&self) -> Budget {
        // Two products and a sum; the factor's own error is told below.
        Budget { ulps: 8.0, floor: 1e-9 }
    }

    fn inner_rounding(&self, _takes: &Signal) -> Option<Eval> {
        // The fitted light goes through both directions of PQ, some sixty units of signal, and light is up to some ten times
        // as steep as signal. Next to black the factor is a small difference of such lights over a small light.
        let (eetf, untouched, unit) = (self.eetf(), self.untouched_nits(), self.unit_nits);
        Some(Box::new(move |rgb| {
            let nits = rgb.map(|channel| channel * NITS_OF_ONE);
            let largest = nits.into_iter().fold(f64::NEG_INFINITY, f64::max);
            if untouched.is_some_and(|knee| largest <= knee) {
                return [0.0; 3];
            }
            let light = largest.max(LEAST_NITS);
            let off = 512.0 / 16_777_216.0 * eetf.fitted_nits(light) / light;
            nits.map(|channel| channel.abs() * off / unit)
        }))
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    /// Nits to nits.
    fn fitted(from_peak_nits: f64, peak_nits: f64, black_nits: f64, nits: [f64; 3]) -> [f64; 3] {
        let fit = PeakFit { from_peak_nits, peak_nits, black_nits, zero_nits: 0.0, unit_nits: 1.0 };
        fit.eval(&Signal::scene())(nits.map(|channel| channel / NITS_OF_ONE))
    }

    /// A colour whose channels are from a little to all of `most` nits.
    fn colour(most: f64) -> impl Strategy<Value = [f64; 3]> {
        proptest::array::uniform3(0.01f64..1.0).prop_map(move |share| share.map(|share| most * share.powi(3)))
    }

    proptest! {
        #[test]
        fn hue_is_kept(nits in colour(8000.0), peak in 12.0f64..4000.0) {
            let out = fitted(4000.0, peak, 0.0, nits);
            for (a, b) in [(0, 1), (1, 2)] {
                // The ratios of the channels, and with them chromaticity.
                prop_assert!((out[a] * nits[b] / (out[b] * nits[a]) - 1.0).abs() < 1e-13, "{nits:?} {out:?}");
            }
        }

        #[test]
        fn a_raised_black_is_added_neutrally(nits in colour(4000.0), peak in 80.0f64..4000.0, black in 0.001f64..0.5) {
            let out = fitted(4000.0, peak, black, nits);
            for (a, b) in [(0, 1), (1, 2)] {
                let [one, other] = [(out[a] - black) * nits[b], (out[b] - black) * nits[a]];
                prop_assert!((one - other).abs() < 1e-9 * one.abs().max(1.0), "{nits:?} {out:?}");
            }
        }

        #[test]
        fn below_the_knee_nothing_changes_without_a_black(nits in proptest::array::uniform3(-50.0f64..499.0)) {
            // From 4000 to 1000 nits the knee lies at 499.4.
            for (got, want) in fitted(4000.0, 1000.0, 0.0, nits).into_iter().zip(nits) {
                prop_assert!((got - want).abs() <= 4.0 * f64::EPSILON * want.abs(), "{got} {want}");
            }
        }

        #[test]
        fn nothing_passes_the_peak_and_more_light_stays_more(
            nits in colour(20_000.0), gain in 1.0f64..3.0, from in 100.0f64..10_000.0, peak in 20.0f64..4000.0, black in 0.0f64..4.0
        ) {
            let [less, more] = [1.0, gain].map(|gain| fitted(from, peak, black, nits.map(|channel| channel * gain)));
            for channel in 0..3 {
                prop_assert!(more[channel] <= peak * (1.0 + 1e-12), "{more:?}");
                prop_assert!(less[channel] >= black - 1e-12, "{less:?}");
            }
            let largest = |rgb: [f64; 3]| rgb.into_iter().fold(f64::MIN, f64::max);
            prop_assert!(largest(less) <= largest(more) * (1.0 + 1e-12), "{less:?} {more:?}");
        }

        #[test]
        fn a_display_with_room_shows_what_came(nits in colour(1000.0), room in 1.0f64..8.0) {
            // Mastered for no more than this display shows: nothing is to be fitted.
            for (got, want) in fitted(1000.0, 1000.0 * room, 0.0, nits).into_iter().zip(nits) {
                prop_assert!((got - want).abs() <= 1e-11 * want.abs(), "{got} {want}");
            }
        }
    }

    #[test]
    fn negatives_and_black_stay_finite_and_continuous() {
        let at = |nits: [f64; 3]| fitted(4000.0, 400.0, 0.05, nits);
        assert_eq!(at([0.0; 3]), [0.05; 3]);
        // Just above and just below the light where the factor stops growing, and at no light at all.
        for around in [LEAST_NITS, 0.0] {
            let [below, above] = [around - 1e-9, around + 1e-9].map(|largest| at([largest, -0.5, 0.0])[1]);
            assert!((below - above).abs() < 1e-5, "{below} {above}");
        }
        let out = at([-1e6, -1e6, 1e-30]);
        assert!(out.iter().all(|channel| channel.is_finite()), "{out:?}");
    }
}
