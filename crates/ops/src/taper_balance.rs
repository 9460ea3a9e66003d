//! Taper balance: a light shift that fades out towards black.
//!
//! `out = in * (1 + w (gain - 1))` on linear light, with the gains of [`crate::LightShift`]. The weight w is a smoothstep
//! `t t (3 - 2 t)` of the pixel's own luminance before the correction, in stops from mid grey: t runs from 0 at
//! `centre + width / 2` stops below mid grey to 1 at `centre - width / 2` below. Above the taper it is the light shift;
//! below it, and wherever luminance is zero or negative, the pixel is exactly what it was. It protects a black that
//! is raised and neutral (flare, pedestal, noise), which a gain would tint. Domain and range: the whole real line. A
//! negative channel of a pixel with positive luminance scales like the others, so no sign changes; values above one
//! have weight 1. Alpha is untouched. Not invertible: what left the taper does not say what weight it had.
//!
//! # Source
//! Common practice, no source. Smoothstep: the cubic with level ends, from memory.

use crate::light_path::LightPath;
use crate::{Budget, Constant, Context, Derived, Domain, Eval, MID_GREY, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// How far the light of the picture is moved, and where that fades out.
    pub struct TaperBalance {
        /// Along the colour temperatures above the taper, in mired: plus is warmer, minus is bluer.
        mired: f64 = 0.0, Scale, Mired, soft (-100.0, 100.0), hard (-300.0, 300.0), ends ("bluer", "warmer");
        /// Across the colour temperatures above the taper, in Duv: plus is greener, minus is more magenta.
        duv: f64 = 0.0, Scale, Duv, soft (-0.02, 0.02), hard (-0.05, 0.05), ends ("more magenta", "greener");
        /// The middle of the taper, in stops below mid grey: plus is darker, so that more of the shadows follow.
        centre: f64 = 5.0, Scale, Stops, soft (0.0, 10.0), hard (-8.0, 16.0), ends ("shadows untouched", "shadows follow");
        /// How many stops the taper takes from nothing to all: a narrow one shows an edge, a wide one fades.
        width: f64 = 2.0, Scale, Stops, soft (0.5, 6.0), hard (0.1, 12.0), ends ("an edge", "a slow fade");
    }
}

impl Operation for TaperBalance {
    const ID: &'static str = "taper-balance";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "a light shift that fades to nothing below a taper, so that a raised black stays neutral";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, _context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        LightPath::for_signal(Self::ID, given)?;
        Ok(Signals { needs: given.clone(), gives: given.clone() })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.mired == 0.0 && self.duv == 0.0
    }

    fn uses_primaries(&self) -> bool {
        true
    }
}

impl Pointwise for TaperBalance {
    fn describe(&self) -> String {
        let Self { mired, duv, centre, width } = self;
        format!("taper-balance {mired:+} mired {duv:+} Duv, fading over {width} stops about {centre} below mid grey")
    }

    fn shader(&self) -> Shader {
        shader!("ops/taper_balance.wgsl", "TaperBalance", "op_taper_balance")
    }

    fn eval(&self, takes: &Signal) -> Eval {
        // Primaries without a path were refused.
        let Some(path) = LightPath::of(&takes.primaries) else { return Box::new(|rgb| rgb) };
        let gains = path.log_gains(self.mired, self.duv).map(f64::exp);
        let weights = takes.primaries.luminance_weights();
        let (nothing, all) = (-(self.centre + self.width / 2.0), -(self.centre - self.width / 2.0));
        Box::new(move |rgb| {
            let luminance = weights[0] * rgb[0] + weights[1] * rgb[1] + weights[2] * rgb[2];
            if luminance <= 0.0 {
                return rgb;
            }
            let stops = (luminance / MID_GREY).log2();
            let t = ((stops - nothing) / (all - nothing)).clamp(0.0, 1.0);
            let weight = t * t * (3.0 - 2.0 * t);
            std::array::from_fn(|i| rgb[i] * (1.0 + weight * (gains[i] - 1.0)))
        })
    }

    fn derive(&self, takes: &Signal) -> Derived {
        let excess = LightPath::of(&takes.primaries)
            .map_or([0.0; 3], |path| path.log_gains(self.mired, self.duv).map(f64::exp_m1));
        // Luminance is counted from the middle of the taper, so that its logarithm is smallest, and most exact in f32,
        // where it matters.
        let from_centre = self.centre.exp2() / MID_GREY;
        let weights = takes.primaries.luminance_weights().map(|weight| weight * from_centre);
        Derived::new(vec![
            ("excess", Constant::Triple(excess)),
            ("weights", Constant::Triple(weights)),
            ("slope", Constant::Scalar(1.0 / self.width)),
        ])
    }

    fn budget(&self) -> Budget {
        // Above or below the taper: two products and a sum. Inside, what the logarithm is off by counts as well: WGSL
        // allows log2 an error of 2^-21, 8 of our units, next to one and 3 last places elsewhere, which for stops of
        // up to half the width are 3 units of t; t, squared and weighed, takes 5 more roundings. The smoothstep rises
        // by 1.5 at most, and `share` is how much of a channel the whole weight is worth.
        let share = (self.mired.abs() * LARGEST_PER_MIRED + self.duv.abs() * LARGEST_PER_DUV).exp_m1();
        Budget { ulps: 3.0 + share * (1.5 * (8.0 / self.width + 3.0) + 5.0), floor: 0.0 }
    }
}

/// No channel of any published primaries has a larger logarithm of gain a mired.
const LARGEST_PER_MIRED: f64 = 0.007;
/// As [`LARGEST_PER_MIRED`], a Duv.
const LARGEST_PER_DUV: f64 = 15.0;

#[cfg(test)]
mod tests {
    use colour::Primaries;
    use proptest::prelude::*;

    use super::*;
    use crate::LightShift;

    #[test]
    fn the_budget_knows_the_largest_gains() {
        let largest = |slopes: [f64; 3]| slopes.into_iter().fold(0.0f64, |most, slope| most.max(slope.abs()));
        for name in Primaries::names() {
            let path = LightPath::of(&Primaries::named(name).unwrap()).unwrap();
            let (mired, duv) = (largest(path.per_mired), largest(path.per_duv));
            assert!(mired <= LARGEST_PER_MIRED && duv <= LARGEST_PER_DUV, "{name}: {mired} {duv}");
        }
    }

    #[test]
    fn half_way_down_the_taper_half_of_it_is_done() {
        let taper = TaperBalance { mired: 80.0, duv: -0.004, centre: 3.0, width: 2.0 };
        let signal = Signal::scene();
        // Three stops below mid grey.
        let grey = [0.0225; 3];
        let shifted = LightShift { mired: 80.0, duv: -0.004 }.eval(&signal)(grey);
        for (got, shifted) in taper.eval(&signal)(grey).iter().zip(shifted) {
            // A logarithm and a cubic next to one half: units of f64.
            assert!((got - (0.0225 + shifted) / 2.0).abs() < 1e-15, "{got}");
        }
    }

    proptest! {
        #[test]
        fn nothing_below_all_above_and_between_in_order(
            mired in -150.0f64..150.0, duv in -0.02f64..0.02, centre in 0.0f64..8.0, width in 0.5f64..6.0,
            colour in prop::array::uniform3(0.01f64..1.0)
        ) {
            let signal = Signal::scene();
            let taper = TaperBalance { mired, duv, centre, width }.eval(&signal);
            let shift = LightShift { mired, duv }.eval(&signal);
            let weights = colour::primaries::AP1.luminance_weights();
            let luminance: f64 = weights.iter().zip(colour).map(|(weight, channel)| weight * channel).sum();
            // The colour at so many stops from mid grey.
            let at = |stops: f64| colour.map(|channel| channel / luminance * MID_GREY * stops.exp2());
            let below = at(-centre - width / 2.0 - 1e-6);
            prop_assert_eq!(taper(below), below);
            let above = at(-centre + width / 2.0 + 1e-6);
            for (got, wanted) in taper(above).iter().zip(shift(above)) {
                prop_assert!((got - wanted).abs() <= 4.0 * f64::EPSILON * wanted.abs(), "{} {}", got, wanted);
            }
            // The share of the shift grows from dark to light.
            let share = |stops: f64| (taper(at(stops))[2] / at(stops)[2] - 1.0) / (shift(at(stops))[2] / at(stops)[2] - 1.0);
            let steps: Vec<f64> = (0..=8).map(|step| share(-centre + width * (f64::from(step) / 8.0 - 0.5))).collect();
            if (shift([1.0; 3])[2] - 1.0).abs() > 1e-3 {
                prop_assert!(steps.windows(2).all(|pair| pair[0] < pair[1] + 1e-9), "{:?}", steps);
            }
        }

        #[test]
        fn no_luminance_no_change(rgb in prop::array::uniform3(-10.0f64..0.0), mired in -300.0f64..300.0) {
            let taper = TaperBalance { mired, centre: 16.0, width: 12.0, ..TaperBalance::default() }.eval(&Signal::scene());
            prop_assert_eq!(taper(rgb), rgb);
        }
    }
}
