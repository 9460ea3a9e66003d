//! Soft clip: the ends of a display's signal rolled in instead of cut.
//!
//! Channel by channel, with `k` the signal `high`: above it `y = k + (1 - k)(1 - exp(-(x - k) / (1 - k)))`, which nears 1
//! and never passes it; below `low` the mirror image, `y = low exp((x - low) / low)`, which nears 0. Value and slope are
//! continuous at both; between them no bit changes. Full signal 0 and 1 come out at `low / e` and `1 - (1 - k) / e`.
//! With `high` 1 and `low` 0 each end is left alone, values beyond it included.
//! Domain: the whole real line. Negatives and values above one are what it is for. Hue moves where one channel is rolled
//! in and its neighbours are not, as in every clip. Alpha is untouched. One-to-one, but so flat far out that files keep
//! nothing of it; no operation undoes it.
//!
//! # Source
//! An exponential at each end: our own, common practice in kind, no source.

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Reference, Shader, Signal, Signals, Step, one_step, settings};

/// Below every signal, so that an end that is left alone is never reached.
const NEVER: f64 = 1e30;

settings! {
    /// From where on each end of the signal is rolled in.
    pub struct SoftClip {
        /// Signal above which values are rolled into 1; 1 leaves them.
        high: f64 = 1.0, Scale, Code, soft (0.7, 1.0), hard (0.5, 1.0), ends ("darker highlights", "brighter highlights");
        /// Signal below which values are rolled into 0; 0 leaves them.
        low: f64 = 0.0, Scale, Code, soft (0.0, 0.2), hard (0.0, 0.5), ends ("deeper blacks", "raised black");
    }
}

impl Operation for SoftClip {
    const ID: &'static str = "soft-clip";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "rolls the ends of the display's signal in instead of cutting them";
    const HOME: Domain = Domain::Display;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.high == 1.0 && self.low == 0.0
    }

    fn concern(&self, given: &Signal) -> Option<String> {
        let display = matches!(given.reference, Reference::Display { .. }) && !given.curve.is_linear();
        (!display && !given.is_unknown())
            .then(|| format!("its ends are those of a display's signal, and what it is given is {given}"))
    }
}

impl Pointwise for SoftClip {
    fn describe(&self) -> String {
        format!("soft-clip above {} and below {} of signal", self.high, self.low)
    }

    fn shader(&self) -> Shader {
        shader!("ops/soft_clip.wgsl", "SoftClip", "op_soft_clip")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let Self { high, low } = *self;
        let room = 1.0 - high;
        Box::new(move |rgb| {
            rgb.map(|signal| {
                if high < 1.0 && signal > high {
                    high + room * (1.0 - (-(signal - high) / room).exp())
                } else if low > 0.0 && signal < low {
                    low * ((signal - low) / low).exp()
                } else {
                    signal
                }
            })
        })
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        // low e^((x - low) / low) as 2^(shift + x rate), likewise what is left to 1 above; an end that is left alone lies
        // beyond every signal.
        let end = |knee: f64, room: f64, side: f64| {
            let rate = (room * std::f64::consts::LN_2).recip();
            if room > 0.0 { [knee, room.log2() + side * knee * rate, rate] } else { [side * NEVER, 0.0, 0.0] }
        };
        let [high, high_shift, high_rate] = end(self.high, 1.0 - self.high, 1.0);
        let [low, low_shift, low_rate] = end(self.low, self.low, -1.0);
        Derived::new(vec![
            ("high", Constant::Break(high)),
            ("high_shift", Constant::Scalar(high_shift)),
            ("high_rate", Constant::Scalar(high_rate)),
            ("low", Constant::Break(low)),
            ("low_shift", Constant::Scalar(low_shift)),
            ("low_rate", Constant::Scalar(low_rate)),
        ])
    }

    fn budget(&self) -> Budget {
        // The exponent is a difference of terms of about 1 / (room ln 2), each rounded, times a result of at most the room:
        // three units of signal. exp2 costs 3 + 2 |x| units of a number that has then shrunk by 2^x: some four more.
        Budget { ulps: 12.0, floor: 2.5e-7 }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn clipped(high: f64, low: f64, signal: f64) -> f64 {
        SoftClip { high, low }.eval(&Signal::scene())([signal, 0.5, 0.5])[0]
    }

    #[test]
    fn the_ends_of_the_signal_come_out_a_share_short() {
        // By hand: at 1 the exponent is -1 whatever the knee is, and at 0 likewise.
        let e = std::f64::consts::E;
        assert!((clipped(0.9, 0.0, 1.0) - (1.0 - 0.1 / e)).abs() < 1e-15);
        assert!((clipped(1.0, 0.05, 0.0) - 0.05 / e).abs() < 1e-15);
        // Far out both ends are reached and not passed.
        assert_eq!(clipped(0.9, 0.05, 1e6), 1.0);
        assert_eq!(clipped(0.9, 0.05, -1e6), 0.0);
    }

    #[test]
    fn an_end_that_is_off_is_left_alone() {
        assert_eq!(clipped(1.0, 0.1, 3.0), 3.0);
        assert_eq!(clipped(0.9, 0.0, -3.0), -3.0);
    }

    proptest! {
        #[test]
        fn value_and_slope_are_continuous(high in 0.5f64..0.99, low in 0.01f64..0.5) {
            let step = 1e-7;
            for knee in [high, low] {
                let at = |signal| clipped(high, low, signal);
                prop_assert_eq!(at(knee), knee);
                let slopes = [(at(knee + step) - at(knee)) / step, (at(knee) - at(knee - step)) / step];
                // The curvature is at most 1 over the room, 100.
                prop_assert!(slopes.iter().all(|slope| (slope - 1.0).abs() < 2e-5), "{slopes:?}");
            }
        }

        #[test]
        fn it_rises_stays_within_and_leaves_the_middle(
            high in 0.5f64..0.99, low in 0.01f64..0.5, a in -0.1f64..1.1, b in -0.1f64..1.1
        ) {
            let (less, more) = (clipped(high, low, a.min(b)), clipped(high, low, a.max(b)));
            prop_assert!(less <= more && (0.0..=1.0).contains(&less) && (0.0..=1.0).contains(&more));
            if (low..=high).contains(&a) {
                prop_assert_eq!(clipped(high, low, a), a);
            }
        }

        #[test]
        fn mirrored_it_is_the_same(room in 0.01f64..0.5, signal in -1.0f64..2.0) {
            // Both ends at once: the picture of the mirrored signal is the mirror of the picture.
            let there = clipped(1.0 - room, room, signal);
            prop_assert!((1.0 - clipped(1.0 - room, room, 1.0 - signal) - there).abs() < 1e-14);
        }

        #[test]
        fn it_is_one_to_one(high in 0.5f64..0.98, above in 0.0f64..4.0) {
            // x = k - (1 - k) ln(1 - (y - k) / (1 - k)), a few rooms out.
            let room = 1.0 - high;
            let signal = high + above * room;
            let back = high - room * (1.0 - (clipped(high, 0.0, signal) - high) / room).ln();
            prop_assert!((back - signal).abs() < 1e-12, "{back} {signal}");
        }
    }
}
