//! Shoulder: highlights drawn together above a knee, without a change of hue.
//!
//! With `m` the largest channel and `k = 0.18 * 2^knee`: where `m > k`, all three channels are scaled by `m' / m` with
//! `m' = k + (m - k) / (1 + strength (m - k) / k)`; below the knee no bit changes. The ratios of the channels, and with
//! them hue and chroma ratio, stay. Value and slope are continuous at the knee; the curve rises everywhere and never
//! passes `k (1 + 1 / strength)`.
//! Domain: the whole real line. Negatives: a pixel without a channel above the knee is left alone; a negative channel of
//! a bright pixel is scaled with its neighbours. Values above one are what it is for. Alpha is untouched.
//! No operation undoes it: the inverse has a pole where this has its ceiling.
//!
//! # Source
//! A hyperbola on the largest channel: our own, common practice in kind, no source.

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

/// Light of a mid-grey card.
const MID_GREY: f64 = 0.18;

settings! {
    /// Where highlights begin to be drawn together, and how much.
    pub struct Shoulder {
        /// Where it begins, in stops from mid grey; everything darker stays.
        knee: f64 = 2.0, Scale, Stops, soft (-2.0, 6.0), hard (-8.0, 12.0), ends ("darker highlights", "brighter highlights");
        /// How hard: 0 leaves the picture; at 1 nothing gets brighter than twice the knee, at 0.5 than three times.
        strength: f64 = 0.0, Scale, None, soft (0.0, 2.0), hard (0.0, 16.0), ends ("brighter highlights", "darker highlights");
    }
}

impl Operation for Shoulder {
    const ID: &'static str = "shoulder";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "draws highlights together above a knee and keeps their hue";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.strength == 0.0
    }
}

impl Pointwise for Shoulder {
    fn describe(&self) -> String {
        format!("shoulder from {:+} stops, strength {}", self.knee, self.strength)
    }

    fn shader(&self) -> Shader {
        shader!("ops/shoulder.wgsl", "Shoulder", "op_shoulder")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        if self.is_neutral() {
            return Box::new(|rgb| rgb);
        }
        let (knee, strength) = (MID_GREY * 2f64.powf(self.knee), self.strength);
        Box::new(move |rgb| {
            let largest = rgb.into_iter().fold(f64::NEG_INFINITY, f64::max);
            if largest <= knee {
                return rgb;
            }
            let above = largest - knee;
            let drawn = knee + above / (1.0 + strength * above / knee);
            rgb.map(|channel| channel * drawn / largest)
        })
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let knee = self.knee.exp2() * MID_GREY;
        Derived::new(vec![("knee", Constant::Scalar(knee)), ("bend", Constant::Scalar(self.strength / knee))])
    }

    fn budget(&self) -> Budget {
        // Two divisions of two and a half units each, and four roundings around them.
        Budget { ulps: 12.0, floor: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn shoulder(knee: f64, strength: f64) -> Eval {
        Shoulder { knee, strength }.eval(&Signal::scene())
    }

    #[test]
    fn twice_the_knee_becomes_one_and_a_half_times() {
        // By hand, strength 1: k + k / (1 + 1) = 1.5 k; far out 2 k, and at strength 0.5 3 k.
        let knee = 0.18 * 4.0;
        let close = |a: f64, b: f64| assert!((a / b - 1.0).abs() < 1e-12, "{a} for {b}");
        close(shoulder(2.0, 1.0)([2.0 * knee; 3])[0], 1.5 * knee);
        close(shoulder(2.0, 1.0)([1e15; 3])[0], 2.0 * knee);
        close(shoulder(2.0, 0.5)([1e15; 3])[0], 3.0 * knee);
    }

    #[test]
    fn value_and_slope_are_continuous_at_the_knee() {
        let (knee, shoulder) = (0.72, shoulder(2.0, 1.5));
        let at = |light: f64| shoulder([light; 3])[1];
        assert_eq!(at(knee), knee);
        let step = 1e-6;
        let slope = (at(knee + step) - at(knee)) / step;
        assert!((slope - 1.0).abs() < 1e-5, "{slope}");
    }

    proptest! {
        #[test]
        fn below_the_knee_no_bit_changes(rgb in proptest::array::uniform3(-50.0f64..0.18), knee in 0.0f64..4.0) {
            prop_assert_eq!(shoulder(knee, 2.0)(rgb), rgb);
        }

        #[test]
        fn it_rises_everywhere_below_its_ceiling(
            a in 0.0f64..1e4, b in 0.0f64..1e4, knee in -2.0f64..4.0, strength in 0.01f64..4.0
        ) {
            prop_assume!(b > a * (1.0 + 1e-6));
            let at = |light: f64| shoulder(knee, strength)([light, 0.0, 0.0])[0];
            let ceiling = 0.18 * knee.exp2() * (1.0 + 1.0 / strength);
            prop_assert!(at(a) < at(b) && at(b) <= ceiling * (1.0 + 1e-12), "{} {} {ceiling}", at(a), at(b));
            prop_assert!(at(b) <= b);
        }

        #[test]
        fn ratios_of_the_channels_stay(rgb in proptest::array::uniform3(-2.0f64..100.0), strength in 0.0f64..4.0) {
            let out = shoulder(0.0, strength)(rgb);
            for (a, b) in [(0, 1), (1, 2)] {
                let (one, other) = (out[a] * rgb[b], out[b] * rgb[a]);
                prop_assert!((one - other).abs() <= 1e-12 * (rgb[a] * rgb[b]).abs(), "{rgb:?} {out:?}");
            }
        }
    }
}
