//! Light shift: the picture warmer, bluer, greener or more magenta, like a filter on the lens.
//!
//! `out = in * gain`, `ln gain = mired * per_mired + duv * per_duv` channel by channel on linear light, with the two
//! directions of `light_path.rs`. It names the picture, where `white-balance` names the light that was: plus mired is
//! warmer here. Shifts add exactly, in whatever order; luminance of grey is kept to 0.03 stop over 100 mired. Domain and
//! range: the whole real line. Negatives and values above one scale like the rest; black stays black, and a black
//! that is raised is tinted ([`crate::TaperBalance`] leaves that one alone). Alpha is untouched. Invertible: both
//! numbers negated.
//!
//! # Source
//! Mired and Duv: CIE 15:2018, ANSI C78.377. That filters add in mired is common practice, no source.

use colour::Matrix;

use crate::light_path::LightPath;
use crate::{Budget, Constant, Context, Derived, Domain, Eval, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// How far the light of the picture is moved.
    pub struct LightShift {
        /// Along the colour temperatures, in mired: plus is warmer, minus is bluer.
        mired: f64 = 0.0, Scale, Mired, soft (-100.0, 100.0), hard (-300.0, 300.0), ends ("bluer", "warmer");
        /// Across the colour temperatures, in Duv: plus is greener, minus is more magenta.
        duv: f64 = 0.0, Scale, Duv, soft (-0.02, 0.02), hard (-0.05, 0.05), ends ("more magenta", "greener");
    }
}

impl Operation for LightShift {
    const ID: &'static str = "light-shift";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "warmer or bluer by mired, greener or more magenta by Duv, like a filter on the lens";
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

    fn inverse(&self) -> Option<Self> {
        Some(Self { mired: -self.mired, duv: -self.duv })
    }
}

impl Pointwise for LightShift {
    fn describe(&self) -> String {
        format!("light-shift {:+} mired {:+} Duv", self.mired, self.duv)
    }

    fn shader(&self) -> Shader {
        shader!("ops/light_shift.wgsl", "LightShift", "op_light_shift")
    }

    fn eval(&self, takes: &Signal) -> Eval {
        // Primaries without a path were refused.
        let Some(path) = LightPath::of(&takes.primaries) else { return Box::new(|rgb| rgb) };
        let gains = path.log_gains(self.mired, self.duv).map(f64::exp);
        Box::new(move |rgb| std::array::from_fn(|i| rgb[i] * gains[i]))
    }

    fn derive(&self, takes: &Signal) -> Derived {
        Derived::new(vec![("gain", Constant::Triple(self.gains(takes)))])
    }

    fn matrix(&self, takes: &Signal) -> Option<Matrix> {
        Some(Matrix::diagonal(self.gains(takes)))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One multiplication, and the gain rounded to f32: half a unit each, doubled for fused rounding.
        Budget { ulps: 2.0, floor: 0.0 }
    }
}

impl LightShift {
    /// The gain of one mired and of one Duv, each to its power: another way to the numbers of `eval`.
    fn gains(&self, takes: &Signal) -> [f64; 3] {
        LightPath::of(&takes.primaries).map_or([1.0; 3], |path| {
            let mired = path.per_mired.map(|slope| slope.exp().powf(self.mired));
            let duv = path.per_duv.map(|slope| slope.exp().powf(self.duv));
            std::array::from_fn(|i| mired[i] * duv[i])
        })
    }
}

#[cfg(test)]
mod tests {
    use colour::cct::cct_duv;
    use colour::locus::mired_from_kelvin;
    use colour::{Xy, primaries};
    use proptest::prelude::*;

    use super::*;
    use crate::white_balance::xyz_with_d65;

    /// Mired and Duv of a grey, less those of D65, and its luminance in stops: as the one frame for white reads it.
    fn reading(mired: f64, duv: f64) -> [f64; 3] {
        let grey = LightShift { mired, duv }.eval(&Signal::scene())([1.0; 3]);
        let xyz = xyz_with_d65(&primaries::AP1).apply(grey);
        let ((kelvin, off), (kelvin_d65, off_d65)) =
            (cct_duv(Xy::from_xyz(xyz)).unwrap(), cct_duv(primaries::D65).unwrap());
        [mired_from_kelvin(kelvin) - mired_from_kelvin(kelvin_d65), off - off_d65, xyz[1].log2()]
    }

    #[test]
    fn it_moves_grey_about_as_far_as_it_says() {
        // (mired, Duv) asked, how far the reading may be off in mired, in Duv, and the luminance in stops. What is
        // allowed is what light_path.rs documents; colour-science measured the same figures.
        let cases = [
            (50.0, 0.0, 4.0, 0.0006, 0.01),
            (-50.0, 0.0, 4.0, 0.0006, 0.01),
            (100.0, 0.0, 10.5, 0.0019, 0.03),
            (-100.0, 0.0, 10.5, 0.0019, 0.03),
            (0.0, 0.01, 0.3, 0.0001, 0.005),
            (0.0, -0.01, 0.3, 0.0001, 0.005),
            (0.0, 0.02, 1.1, 0.0002, 0.01),
            (0.0, -0.02, 1.1, 0.0002, 0.01),
        ];
        for (mired, duv, off_mired, off_duv, stops) in cases {
            let [got_mired, got_duv, got_stops] = reading(mired, duv);
            println!(
                "{mired:+} mired {duv:+} Duv: {:+.2} mired, {:+.5} Duv off, {got_stops:+.4} stop",
                got_mired - mired,
                got_duv - duv
            );
            assert!((got_mired - mired).abs() < off_mired, "{mired} {duv}: {got_mired} mired");
            assert!((got_duv - duv).abs() < off_duv, "{mired} {duv}: {got_duv} Duv");
            assert!(got_stops.abs() < stops, "{mired} {duv}: {got_stops} stops");
        }
    }

    proptest! {
        #[test]
        fn shifts_add(
            a in (-150.0f64..150.0, -0.02f64..0.02), b in (-150.0f64..150.0, -0.02f64..0.02),
            light in prop::array::uniform3(-1.0f64..50.0)
        ) {
            let of = |mired, duv| LightShift { mired, duv }.eval(&Signal::scene());
            let (both, once) = (of(b.0, b.1)(of(a.0, a.1)(light)), of(a.0 + b.0, a.1 + b.1)(light));
            for (both, once) in both.iter().zip(once) {
                // Three exponentials of arguments below 3: a few units each.
                prop_assert!((both - once).abs() <= 1e-14 * once.abs(), "{both} {once}");
            }
        }
    }
}
