//! Channel gain: red, green and blue each times a factor.
//!
//! `out = in * factor` on linear light of the camera's own channels, which is what a camera's white balance does
//! before its matrix. In `domain=display` it is another method, gains in the display signal: there the gap that it
//! opens between channels grows from black to white in code. Domain and range: the whole real line. Negatives
//! and values above one scale like the rest; black stays black; alpha is untouched. Invertible: the reciprocals.
//!
//! # Source
//! Common practice, no source.

use colour::Matrix;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Reference, Shader, Signal, Signals, Step, code_not_light, one_step, settings};

settings! {
    /// A factor for each channel; black stays black.
    pub struct ChannelGain {
        /// Factor on red: above 1 is redder, below 1 is more cyan.
        red: f64 = 1.0, Scale, Factor, soft (0.25, 4.0), hard (0.001, 1000.0), ends ("more cyan", "redder");
        /// Factor on green: above 1 is greener, below 1 is more magenta.
        green: f64 = 1.0, Scale, Factor, soft (0.25, 4.0), hard (0.001, 1000.0), ends ("more magenta", "greener");
        /// Factor on blue: above 1 is bluer, below 1 is more yellow.
        blue: f64 = 1.0, Scale, Factor, soft (0.25, 4.0), hard (0.001, 1000.0), ends ("more yellow", "bluer");
    }
}

impl Operation for ChannelGain {
    const ID: &'static str = "channel-gain";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "red, green and blue times a factor each, on the camera's own channels";
    const HOME: Domain = Domain::CameraLinear;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        [self.red, self.green, self.blue] == [1.0; 3]
    }

    /// Gains in a display signal are a method of their own; in camera code they are none.
    fn concern(&self, given: &Signal) -> Option<String> {
        match given.reference {
            Reference::Scene => code_not_light(given),
            Reference::Display { .. } => None,
        }
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { red: 1.0 / self.red, green: 1.0 / self.green, blue: 1.0 / self.blue })
    }
}

impl Pointwise for ChannelGain {
    fn describe(&self) -> String {
        format!("channel-gain red x{} green x{} blue x{}", self.red, self.green, self.blue)
    }

    fn shader(&self) -> Shader {
        shader!("ops/channel_gain.wgsl", "ChannelGain", "op_channel_gain")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let Self { red, green, blue } = self.clone();
        Box::new(move |rgb| [rgb[0] * red, rgb[1] * green, rgb[2] * blue])
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        Derived::new(vec![("gain", Constant::Triple([self.red, self.green, self.blue]))])
    }

    fn matrix(&self, _takes: &Signal) -> Option<Matrix> {
        Some(Matrix::diagonal([self.red, self.green, self.blue]))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One multiplication, and the factor rounded to f32: half a unit each, doubled for fused rounding.
        Budget { ulps: 2.0, floor: 0.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_a_method_in_a_display_signal_and_none_in_camera_code() {
        let code = |name| Signal::code(&colour::Encoding::named(name, None).unwrap());
        let concern = |signal: Signal| ChannelGain::default().concern(&signal);
        assert!(concern(code("LogC3")).is_some() && concern(Signal::log()).is_some());
        assert_eq!(concern(code("BT.1886")), None);
        assert_eq!(concern(code("LogC3").linear()), None);
        assert_eq!(concern(Signal::scene()), None);
    }
}
