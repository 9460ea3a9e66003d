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

use crate::{
    Budget, Constant, Context, Derived, Domain, Eval, OpError, Operation, Pointwise, Shader, Signal, Signals, Step, settings,
};

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

    fn signals(&self, _context: &Context<'_>, given: &Signal) -> Result<Signals, OpError> {
        Ok(Signals { needs: given.clone(), gives: given.clone() })
    }

    fn steps(&self, signals: &Signals) -> Vec<Step> {
        vec![Step { point: self.clone().into(), takes: signals.needs.clone(), gives: signals.gives.clone() }]
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
