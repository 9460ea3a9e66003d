//! Contrast: tones spread apart or drawn together about a tone that stays.
//!
//! On luminance (the usual mode, in scene light): `Y' = p (Y / p)^slope` with `p = 0.18 * 2^about`, and all three
//! channels are scaled by `Y' / Y`, so that the ratios of the channels, and with them hue and chroma ratio, stay. `Y` is
//! the luminance of the signal's own primaries. Domain and range: the whole real line.
//! Negatives: a pixel of negative luminance is treated as its mirror image about black; a negative channel of another
//! pixel is scaled with its neighbours. Next to black the gain is held at its value 16 / sqrt(slope) stops below `p`, so
//! that no pixel meets a power of zero; the gain is continuous there. Values above one follow the same power, to the
//! largest light that curves give (2^99 times the tone).
//!
//! Per channel (`per_channel=true`, at home in log code): `c' = c_p + slope (c - c_p)` with `c_p` the code of `p` in the
//! signal's curve. The code of each channel moves alone, so colours gain chroma with slopes above one, as in a print.
//! Negative code and code above one follow the same line.
//!
//! Alpha is untouched. Invertible: the same with `1 / slope`; the hold next to black is placed so that this holds there.
//!
//! # Source
//! Luminance weights: SMPTE RP 177. A power about mid grey, and a line about it in log code: common practice, no source.

use colour::{Affine, Matrix};
use colour::transfer::{Form, LARGEST_LIGHT};

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

/// Light of a mid-grey card.
const MID_GREY: f64 = 0.18;

/// Stops below the tone that stays where the gain is held, at slope 1. At other slopes they are divided by the root of
/// the slope: so a held tone lands where the inverse holds it. A picture's darkest shadows lie some ten stops down.
const HOLD_STOPS: f64 = 16.0;

settings! {
    /// How far tones are spread apart, and about which tone.
    pub struct Contrast {
        /// Stops out per stop in: above 1 is more contrast, below 1 is flatter.
        slope: f64 = 1.0, Scale, Factor, soft (0.5, 2.0), hard (0.25, 4.0), ends ("flatter", "more contrast");
        /// The tone that stays as it is, in stops from mid grey.
        about: f64 = 0.0, Scale, Stops, soft (-4.0, 4.0), hard (-8.0, 8.0), ends ("shadows stay", "highlights stay");
        /// Whether each channel moves alone, in log code, so that colours gain chroma with contrast.
        per_channel: bool = false, Choice, None;
    }
}

impl Contrast {
    /// The tone that stays, as light.
    fn still(&self) -> f64 {
        MID_GREY * 2f64.powf(self.about)
    }
}

impl Operation for Contrast {
    const ID: &'static str = "contrast";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "spreads tones apart about one that stays, and keeps the ratios of the channels";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.slope == 1.0
    }

    fn home(&self) -> Domain {
        if self.per_channel { Domain::Log } else { Self::HOME }
    }

    fn concern(&self, given: &Signal) -> Option<String> {
        if given.is_unknown() || given.curve.is_linear() != self.per_channel {
            return None;
        }
        Some(if self.per_channel {
            format!("per channel it is a line through log code, and {given} is light; there it lifts or crushes black")
        } else {
            format!("it is a power of light, and {given} is code; say per_channel=true there")
        })
    }

    fn uses_primaries(&self) -> bool {
        true
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { slope: 1.0 / self.slope, ..self.clone() })
    }
}

impl Pointwise for Contrast {
    fn describe(&self) -> String {
        let mode = if self.per_channel { ", per channel" } else { "" };
        format!("contrast {} about {:+} stops{mode}", self.slope, self.about)
    }

    fn shader(&self) -> Shader {
        if self.per_channel {
            shader!("ops/contrast.wgsl", "ContrastPerChannel", "op_contrast_per_channel")
        } else {
            shader!("ops/contrast.wgsl", "Contrast", "op_contrast")
        }
    }

    fn eval(&self, takes: &Signal) -> Eval {
        let (slope, still) = (self.slope, self.still());
        if self.is_neutral() {
            return Box::new(|rgb| rgb);
        }
        if self.per_channel {
            let still = takes.curve.transfer.encode(Form::Exact, still);
            return Box::new(move |rgb| rgb.map(|code| still + slope * (code - still)));
        }
        let to_xyz = takes.primaries.xyz_from_rgb();
        let hold = still * 2f64.powf(-HOLD_STOPS / slope.sqrt());
        Box::new(move |rgb| {
            let [_, luminance, _] = to_xyz.apply(rgb);
            let size = luminance.abs().max(hold);
            let gain = (size / still).powf(slope).min(LARGEST_LIGHT) * still / size;
            rgb.map(|channel| channel * gain)
        })
    }

    fn derive(&self, takes: &Signal) -> Derived {
        if self.per_channel {
            let still = takes.curve.transfer.encode(Form::Exact, self.about.exp2() * MID_GREY);
            let offset = still * (1.0 - self.slope);
            return Derived::new(vec![("slope", Constant::Scalar(self.slope)), ("offset", Constant::Scalar(offset))]);
        }
        // Luminance comes out as a share of the tone that stays.
        let weights = takes.primaries.luminance_weights().map(|weight| weight * (-self.about).exp2() / MID_GREY);
        Derived::new(vec![
            ("weights", Constant::Triple(weights)),
            ("exponent", Constant::Scalar(self.slope - 1.0)),
            ("hold", Constant::Scalar((-HOLD_STOPS / self.slope.sqrt()).exp2())),
        ])
    }

    fn affine(&self, takes: &Signal) -> Option<Affine> {
        // Which of the two it is decides a choice, not a number.
        self.per_channel.then(|| {
            let still = takes.curve.transfer.encode(Form::Exact, self.still());
            let matrix = Matrix::diagonal([self.slope; 3]);
            Affine { matrix, offset: [still * (1.0 - self.slope); 3] }
        })
    }

    fn is_by_channel(&self) -> bool {
        self.per_channel
    }

    fn budget(&self) -> Budget {
        if self.per_channel {
            // One product and one sum, both constants rounded to f32.
            return Budget { ulps: 4.0, floor: 0.0 };
        }
        // WGSL grants log2 three units of a result of up to 16 and exp2 another 3 + 2|x|, |x| up to 16 (slope - 1): with
        // ln 2 both come to some 70 units a unit of slope. The products around them take a few more.
        Budget { ulps: 16.0 + 70.0 * (self.slope - 1.0).abs(), floor: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn luminance(rgb: [f64; 3]) -> f64 {
        Signal::scene().primaries.xyz_from_rgb().apply(rgb)[1]
    }

    fn on_light(slope: f64, about: f64) -> Eval {
        Contrast { slope, about, per_channel: false }.eval(&Signal::scene())
    }

    /// Light in, light out, the code in between.
    fn per_channel(slope: f64, about: f64, rgb: [f64; 3]) -> [f64; 3] {
        let log = Signal::log();
        let curve = log.curve.transfer.clone();
        let code = rgb.map(|light| curve.encode(Form::Exact, light));
        Contrast { slope, about, per_channel: true }.eval(&log)(code).map(|code| curve.decode(Form::Exact, code))
    }

    /// Spread of the channels over luminance.
    fn chroma_ratio(rgb: [f64; 3]) -> f64 {
        let most = rgb.into_iter().fold(f64::MIN, f64::max);
        let least = rgb.into_iter().fold(f64::MAX, f64::min);
        (most - least) / luminance(rgb)
    }

    fn close(a: f64, b: f64) -> bool {
        (a - b).abs() <= 1e-12 * b.abs().max(1e-6)
    }

    #[test]
    fn two_stops_of_light_become_four_at_slope_two() {
        // By hand: 0.18 (0.72 / 0.18)^2 = 2.88, and half of mid grey becomes a quarter.
        for (light, wanted) in [(0.72, 2.88), (0.09, 0.045), (0.18, 0.18)] {
            let got = on_light(2.0, 0.0)([light; 3])[1];
            assert!(close(got, wanted), "{light}: {got} for {wanted}");
        }
        // Per channel a stop is 1 / 17.52 of ACEScct (Academy S-2016-001), so the same two stops become four.
        assert!((per_channel(2.0, 0.0, [0.72; 3])[1] - 2.88).abs() < 1e-9);
    }

    #[test]
    fn luminance_is_that_of_the_signals_own_primaries() {
        let p3 = Signal { primaries: colour::primaries::P3_D65, ..Signal::scene() };
        let rgb = [0.5, 0.1, 0.02];
        let [before, after] = [rgb, Contrast { slope: 1.5, ..Contrast::default() }.eval(&p3)(rgb)]
            .map(|rgb| p3.primaries.xyz_from_rgb().apply(rgb)[1]);
        assert!(close(after, 0.18 * (before / 0.18).powf(1.5)), "{before} {after}");
    }

    #[test]
    fn next_to_black_the_gain_is_held_and_continuous() {
        for slope in [0.25f64, 0.5, 1.3, 2.0, 4.0] {
            let contrast = on_light(slope, 0.0);
            let hold = 0.18 * (-HOLD_STOPS / slope.sqrt()).exp2();
            let gain = |light: f64| contrast([light; 3])[0] / light;
            assert!((gain(hold * (1.0 + 1e-9)) / gain(hold * (1.0 - 1e-9)) - 1.0).abs() < 1e-7, "{slope}");
            assert!(close(gain(hold * 1e-6), gain(hold * 0.5)), "{slope}");
            assert_eq!(contrast([0.0; 3]), [0.0; 3]);
            // Luminance exactly zero between channels that are not.
            let [red, green, _] = Signal::scene().primaries.luminance_weights();
            assert!(contrast([green, -red, 0.0]).into_iter().all(f64::is_finite));
        }
    }

    #[test]
    fn it_says_where_it_has_no_meaning() {
        let on_light = Contrast::default();
        let per_channel = Contrast { per_channel: true, ..Contrast::default() };
        assert_eq!((on_light.home(), per_channel.home()), (Domain::Scene, Domain::Log));
        assert!(on_light.concern(&Signal::scene()).is_none() && per_channel.concern(&Signal::log()).is_none());
        assert!(on_light.concern(&Signal::log()).is_some_and(|reason| reason.contains("per_channel=true")));
        assert!(per_channel.concern(&Signal::scene()).is_some_and(|reason| reason.contains("black")));
    }

    fn colour() -> impl Strategy<Value = [f64; 3]> {
        proptest::array::uniform3(0.02f64..8.0)
    }

    proptest! {
        #[test]
        fn on_light_the_chroma_ratio_stays(rgb in colour(), slope in 0.25f64..4.0, about in -4.0f64..4.0) {
            let out = on_light(slope, about)(rgb);
            prop_assert!((chroma_ratio(out) - chroma_ratio(rgb)).abs() < 1e-12 * (1.0 + chroma_ratio(rgb)));
            let still = 0.18 * about.exp2();
            let wanted = still * (luminance(rgb) / still).powf(slope);
            prop_assert!((luminance(out) / wanted - 1.0).abs() < 1e-12);
        }

        #[test]
        fn per_channel_the_chroma_ratio_rises(rgb in colour(), slope in 1.05f64..2.0, about in -1.0f64..1.0) {
            // A colour, not a grey; and not so far down that the straight piece of ACEScct takes part.
            prop_assume!(chroma_ratio(rgb) > 0.05);
            let out = per_channel(slope, about, rgb);
            prop_assume!(out.into_iter().all(|light| light > 0.008));
            let most = |rgb: [f64; 3]| rgb.into_iter().fold(f64::MIN, f64::max) / rgb.into_iter().fold(f64::MAX, f64::min);
            prop_assert!(most(out) > most(rgb), "{rgb:?} {out:?}");
            // By how much: the ratio of two channels is raised to the slope.
            prop_assert!((most(out) / most(rgb).powf(slope) - 1.0).abs() < 1e-9);
        }

        #[test]
        fn the_tone_it_is_about_stays_and_neutral_stays_neutral(slope in 0.25f64..4.0, about in -4.0f64..4.0, grey in 0.001f64..50.0) {
            let still = 0.18 * about.exp2();
            for out in [on_light(slope, about)([still; 3]), per_channel(slope, about, [still; 3])] {
                prop_assert!(out.into_iter().all(|light| (light / still - 1.0).abs() < 1e-12), "{out:?}");
            }
            for [r, g, b] in [on_light(slope, about)([grey; 3]), per_channel(slope, about, [grey; 3])] {
                prop_assert!(r == g && g == b);
            }
        }

        #[test]
        fn negative_luminance_is_a_mirror_image(rgb in proptest::array::uniform3(-4.0f64..4.0), slope in 0.25f64..4.0) {
            let contrast = on_light(slope, 0.0);
            prop_assert_eq!(contrast(rgb.map(|channel| -channel)), contrast(rgb).map(|channel| -channel));
        }
    }
}
