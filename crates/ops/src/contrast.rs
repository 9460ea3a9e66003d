//! Contrast: tones spread apart or drawn together about a tone that stays.
//!
//! On luminance (the usual mode, in scene light): `Y' = p (Y / p)^slope` with `p = 0.18 * 2^about`, and all three
//! channels are scaled by `Y' / Y`, so that the ratios of the channels, and with them hue and chroma ratio, stay. `Y` is
//! the luminance of the signal's own primaries. Domain and range: the whole real line.
//! Negatives: a pixel of negative luminance is treated as its mirror image about black; a negative channel of another
//! pixel is scaled with its neighbours. Next to black the gain is held at its value 16 / sqrt(slope) stops below `p`, so
//! that no pixel meets a power of zero; the gain is continuous there. Values above one follow the same power.
//!
//! Per channel (`per_channel=true`, at home in log code): `c' = c_p + slope (c - c_p)` with `c_p` the code of `p` in the
//! signal's curve. The code of each channel moves alone, so colours gain chroma with slopes above one, as in a print.
//! Negative code and code above one follow the same line.
//!
//! Alpha is untouched. Invertible: the same with `1 / slope`; the hold next to black is placed so that this holds there.
//!
//! # Source
//! Luminance weights: SMPTE RP 177. A power about mid grey, and a line about it in log code: common practice, no source.

use colour::transfer::{Form, LARGEST_LIGHT};

use crate::{
    Budget, Constant, Context, Derived, Domain, Eval, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, settings,
};

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

    fn signals(&self, _context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        Ok(Signals { needs: given.clone(), gives: given.clone() })
    }

    fn steps(&self, signals: &Signals) -> Vec<Step> {
        vec![Step { point: self.clone().into(), takes: signals.needs.clone(), gives: signals.gives.clone() }]
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
            let gain = (still * (size / still).powf(slope) / size).min(LARGEST_LIGHT);
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
