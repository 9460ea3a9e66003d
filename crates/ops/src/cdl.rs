//! CDL: slope, offset and power per channel, then saturation, as the ASC's colour decision list defines them.
//!
//! `v = (in * slope + offset)^power` per channel, then `out = luma + saturation (v - luma)` with
//! `luma = 0.2126 R + 0.7152 G + 0.0722 B`, these weights whatever the primaries are. Plus in slope, offset and
//! saturation is lighter or more colourful, plus in power is darker. At home in log code.
//! Domain and range: the whole real line. Negatives: what is negative before the power passes it unchanged. Values above
//! one follow the same formula. With `clamp=true` values are clamped to 0..1 before the power and again at the end, as
//! in a system of fixed range, also where all numbers are neutral. Alpha is untouched.
//! Invertible without clamping where slope and saturation are above 0, but not by another CDL, so it names no inverse.
//!
//! # Source
//! ASC CDL Transfer Functions and Interchange Syntax, release 1.2 (2009); without clamping: Academy S-2014-006 (CLF), the
//! styles of `ASC_CDL`.

use colour::transfer::LARGEST_LIGHT;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

/// Luma weights of the ASC CDL: those of BT.709, to four digits.
const LUMA: [f64; 3] = [0.2126, 0.7152, 0.0722];

settings! {
    /// The ten numbers of a colour decision list.
    pub struct Cdl {
        /// Factor of each channel; 1 changes nothing.
        slope: [f64; 3] = [1.0; 3], Scale, Factor, soft (0.5, 2.0), hard (0.0, 16.0), ends ("darker", "lighter");
        /// What is added to each channel after the slope, in signal.
        offset: [f64; 3] = [0.0; 3], Scale, Code, soft (-0.2, 0.2), hard (-4.0, 4.0), ends ("darker", "lighter");
        /// Exponent of each channel after the offset; 1 changes nothing, above 1 is darker.
        power: [f64; 3] = [1.0; 3], Scale, Factor, soft (0.5, 2.0), hard (0.1, 8.0), ends ("lighter", "darker");
        /// Distance from luma as a factor: 0 is black and white, above 1 is more colourful.
        saturation: f64 = 1.0, Scale, Factor, soft (0.0, 2.0), hard (0.0, 8.0), ends ("paler", "more colourful");
        /// Whether values are cut off at 0 and 1 before the power and at the end.
        clamp: bool = false, Choice, None;
    }
}

impl Cdl {
    fn changes_nothing(&self) -> bool {
        self.slope == [1.0; 3] && self.offset == [0.0; 3] && self.power == [1.0; 3] && self.saturation == 1.0
    }
}

impl Operation for Cdl {
    const ID: &'static str = "cdl";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "slope, offset, power and saturation of an ASC colour decision list";
    const HOME: Domain = Domain::Log;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        !self.clamp && self.changes_nothing()
    }

    fn clamps(&self) -> bool {
        self.clamp
    }

    fn concern(&self, given: &Signal) -> Option<String> {
        (given.curve.is_linear() && !given.is_unknown()).then(|| {
            let clamped = if self.clamp { ", and clamping cuts off all light above one" } else { "" };
            format!(
                "its numbers are made for code, and {given} is light; an offset there lifts or crushes black{clamped}"
            )
        })
    }
}

impl Pointwise for Cdl {
    fn describe(&self) -> String {
        let Self { slope, offset, power, saturation, clamp } = self;
        let end = if *clamp { ", clamped" } else { "" };
        format!("cdl slope {slope:?}, offset {offset:?}, power {power:?}, saturation {saturation}{end}")
    }

    fn shader(&self) -> Shader {
        if self.clamp {
            shader!("ops/cdl.wgsl", "Cdl", "op_cdl_clamped")
        } else {
            shader!("ops/cdl.wgsl", "Cdl", "op_cdl")
        }
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        if self.is_neutral() {
            return Box::new(|rgb| rgb);
        }
        let Self { slope, offset, power, saturation, clamp } = self.clone();
        let limit = move |value: f64| if clamp { value.clamp(0.0, 1.0) } else { value };
        Box::new(move |rgb| {
            let v: [f64; 3] = std::array::from_fn(|i| {
                let sum = limit(rgb[i] * slope[i] + offset[i]);
                if sum < 0.0 { sum } else { sum.powf(power[i]).min(LARGEST_LIGHT) }
            });
            let luma = v[0] * LUMA[0] + v[1] * LUMA[1] + v[2] * LUMA[2];
            v.map(|v| limit(luma + saturation * (v - luma)))
        })
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        Derived::new(vec![
            ("slope", Constant::Triple(self.slope)),
            ("offset", Constant::Triple(self.offset)),
            ("power", Constant::Triple(self.power)),
            // What luma adds to each channel.
            ("grey", Constant::Triple(LUMA.map(|weight| weight * (1.0 - self.saturation)))),
            ("saturation", Constant::Scalar(self.saturation)),
        ])
    }

    fn budget(&self) -> Budget {
        // WGSL grants log2 three units of a result of up to 10 in a picture, or 2^-21 near one, and exp2 another 3 + 2|x|:
        // some 50 units at power 1, growing with it. Saturation multiplies the error and the terms that cancel.
        let power = self.power.iter().fold(1.0f64, |most, power| most.max(*power));
        let ulps = (16.0 + 40.0 * power) * self.saturation.max(1.0);
        Budget { ulps, floor: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    fn list(clamp: bool) -> Cdl {
        Cdl { slope: [1.2, 0.9, 1.0], offset: [0.1, -0.2, 0.0], power: [0.8, 1.0, 1.5], saturation: 1.3, clamp }
    }

    #[test]
    fn clamping_alone_is_not_neutral() {
        let clamped = Cdl { clamp: true, ..Cdl::default() };
        assert!(Cdl::default().is_neutral() && !clamped.is_neutral() && clamped.clamps());
        let out = clamped.eval(&Signal::log())([-0.5, 0.5, 1.5]);
        assert_eq!(out[0], 0.0);
        assert!((out[1] - 0.5).abs() < 1e-15);
        assert_eq!(out[2], 1.0);
        assert_eq!(Cdl::default().eval(&Signal::log())([-0.5, 0.5, 1.5]), [-0.5, 0.5, 1.5]);
    }

    #[test]
    fn luma_weights_are_bt709_whatever_the_primaries() {
        // ASC CDL 1.2: saturation 0 of pure red is 0.2126.
        let grey = Cdl { saturation: 0.0, ..Cdl::default() };
        for primaries in [colour::primaries::AP1, colour::primaries::BT2020] {
            let signal = Signal { primaries, ..Signal::log() };
            for channel in grey.eval(&signal)([1.0, 0.0, 0.0]) {
                assert!((channel - 0.2126).abs() < 1e-15, "{channel}");
            }
        }
    }

    #[test]
    fn light_is_not_what_it_is_made_for() {
        assert!(list(false).concern(&Signal::log()).is_none());
        assert!(list(false).concern(&Signal::scene()).is_some_and(|reason| !reason.contains("clamping")));
        assert!(list(true).concern(&Signal::scene()).is_some_and(|reason| reason.contains("clamping")));
    }

    proptest! {
        #[test]
        fn clamped_stays_within_zero_and_one(rgb in proptest::array::uniform3(-5.0f64..5.0)) {
            let out = list(true).eval(&Signal::log())(rgb);
            prop_assert!(out.into_iter().all(|channel| (0.0..=1.0).contains(&channel)), "{out:?}");
        }

        #[test]
        fn without_clamping_each_channel_rises_where_saturation_is_one(a in -2.0f64..3.0, by in 1e-6f64..1.0) {
            let list = Cdl { saturation: 1.0, ..list(false) };
            let [low, high] = [a, a + by].map(|code| list.eval(&Signal::log())([code; 3]));
            prop_assert!((0..3).all(|i| low[i] < high[i]), "{low:?} {high:?}");
        }
    }
}
