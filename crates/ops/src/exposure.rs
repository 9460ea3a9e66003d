//! Exposure: the picture as if the lens had let in more or less light.
//!
//! `out = in * 2^stops` on linear light. Domain and range: the whole real line. Negatives scale
//! like the rest; values above one stay as they are relative to each other; alpha is untouched.
//! Invertible: the inverse is the opposite number of stops.
//!
//! # Source
//! One stop doubles the light: common practice, no source.

use colour::Matrix;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// How much lighter or darker, in stops.
    pub struct Exposure {
        /// Stops of light added: plus is lighter, minus is darker, one stop doubles the light.
        stops: f64 = 0.0, Scale, Stops, soft (-4.0, 4.0), hard (-24.0, 24.0), ends ("darker", "lighter");
    }
}

impl Operation for Exposure {
    const ID: &'static str = "exposure";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "lighter or darker by stops, as the lens would do it";
    const HOME: Domain = Domain::Scene;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        self.stops == 0.0
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { stops: -self.stops })
    }
}

impl Pointwise for Exposure {
    fn describe(&self) -> String {
        format!("exposure {:+} stops", self.stops)
    }

    fn shader(&self) -> Shader {
        shader!("ops/exposure.wgsl", "Exposure", "op_exposure")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let stops = self.stops;
        Box::new(move |rgb| rgb.map(|channel| channel * 2f64.powf(stops)))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        Derived::new(vec![("gain", Constant::Scalar(self.stops.exp2()))])
    }

    fn matrix(&self, _takes: &Signal) -> Option<Matrix> {
        Some(Matrix::diagonal([self.stops.exp2(); 3]))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One multiplication, and the gain rounded to f32: half a unit each, doubled for fused rounding.
        Budget { ulps: 2.0, floor: 0.0 }
    }
}
