//! Flare: the veil that stray light in a lens, haze or smoke lays over a picture, taken off.
//!
//! `out = in - (channel + all) / 100 * 0.18` on linear light: stray light adds the same everywhere, so the same is
//! subtracted everywhere. It shows in the blacks, which get deeper and lose their cast, and hardly in the lights.
//! Domain and range: the whole real line. Light below the veil becomes negative, and negatives go further down;
//! nothing is clipped. Values above one lose as much as all others. Alpha is untouched. Invertible: all four
//! numbers negated. It belongs before the white balance: the veil's colour is not the light's.
//!
//! # Source
//! That flare adds evenly is the model of ISO 9358 (veiling glare of image forming systems, from memory). The
//! measure, hundredths of an 18 % grey card, is common practice, no source.

use colour::Affine;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, MID_GREY, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// How strong the veil is that is taken off, in hundredths of mid grey.
    pub struct Flare {
        /// Red veil taken off: plus takes red out of the blacks, minus lays a red veil over them.
        red: f64 = 0.0, Scale, Percent, soft (-10.0, 10.0), hard (-1000.0, 1000.0), ends ("redder", "more cyan");
        /// Green veil taken off: plus takes green out of the blacks, minus lays a green veil over them.
        green: f64 = 0.0, Scale, Percent, soft (-10.0, 10.0), hard (-1000.0, 1000.0), ends ("greener", "more magenta");
        /// Blue veil taken off: plus takes blue out of the blacks, minus lays a blue veil over them.
        blue: f64 = 0.0, Scale, Percent, soft (-10.0, 10.0), hard (-1000.0, 1000.0), ends ("bluer", "more yellow");
        /// Veil taken off all three alike: plus makes blacks deeper, minus veils them.
        all: f64 = 0.0, Scale, Percent, soft (-10.0, 10.0), hard (-1000.0, 1000.0), ends ("veiled blacks", "deeper blacks");
    }
}

impl Flare {
    /// The veil of each channel in hundredths of mid grey.
    fn percent(&self) -> [f64; 3] {
        [self.red, self.green, self.blue].map(|channel| channel + self.all)
    }

    /// The veil of each channel in light, for the GPU.
    fn veil(&self) -> [f64; 3] {
        let hundredth = MID_GREY / 100.0;
        [self.red, self.green, self.blue].map(|channel| hundredth * channel + hundredth * self.all)
    }
}

impl Operation for Flare {
    const ID: &'static str = "flare";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "takes off the veil of stray light, in % of mid grey";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.percent() == [0.0; 3]
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { red: -self.red, green: -self.green, blue: -self.blue, all: -self.all })
    }
}

impl Pointwise for Flare {
    fn describe(&self) -> String {
        let [red, green, blue] = self.percent();
        format!("flare off by {red} {green} {blue} % of mid grey")
    }

    fn shader(&self) -> Shader {
        shader!("ops/flare.wgsl", "Flare", "op_flare")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let percent = self.percent();
        Box::new(move |rgb| std::array::from_fn(|i| rgb[i] - percent[i] / 100.0 * MID_GREY))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        Derived::new(vec![("veil", Constant::Triple(self.veil()))])
    }

    fn affine(&self, _takes: &Signal) -> Option<Affine> {
        Some(Affine::offset(self.veil().map(|veil| -veil)))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One subtraction, and the veil rounded to f32: half a unit of the veil, which may be larger than what is left.
        let veil = self.percent().iter().fold(0.0f64, |veil, percent| veil.max(percent.abs())) / 100.0 * MID_GREY;
        Budget { ulps: 2.0, floor: 2.0 * HALF_UNIT * veil }
    }
}

/// Half a unit in the last place of f32, relative.
const HALF_UNIT: f64 = 1.0 / 16_777_216.0;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_black_veiled_by_three_percent_of_grey_is_black_again() {
        // By hand: 3 % of 0.18 is 0.0054.
        let flare = Flare { all: 2.0, blue: 1.0, ..Flare::default() };
        let out = flare.eval(&Signal::scene())([0.0036, 0.0036, 0.0054]);
        assert!(out.iter().all(|channel| channel.abs() < 1e-17), "{out:?}");
    }

    #[test]
    fn opposite_numbers_are_neutral_only_if_every_channel_is() {
        let even = |all| Flare { red: 2.0, green: 2.0, blue: 2.0, all };
        assert!(even(-2.0).is_neutral() && !even(0.0).is_neutral());
        assert!(!Flare { red: 1.0, all: -1.0, ..Flare::default() }.is_neutral());
    }
}
