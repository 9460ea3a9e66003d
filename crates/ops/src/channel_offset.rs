//! Channel offset: something added to the code of red, green and blue.
//!
//! `out = in + offset` on the camera's own code, 1 being the largest code of a full-range file. In a log code it is a
//! gain of light above the curve's toe, and it moves a channel of the waveform without stretching it: the gap
//! between channels is as wide in the shadows as in the highlights. In the toe it adds light instead, so that it
//! tints black. Domain and range: the whole real line. Negative code and code above one move like the rest, nothing
//! is clipped; alpha is untouched. Invertible: the offsets negated.
//!
//! # Source
//! Common practice, no source.

use colour::Affine;

use crate::{Budget, Constant, Context, Derived, Domain, Eval, Operation, Pointwise, Shader, Signal, Signals, Step, one_step, settings};

settings! {
    /// An offset for the code of each channel.
    pub struct ChannelOffset {
        /// Added to red, in signal (1/1023 is a 10-bit code): plus is redder, minus is more cyan.
        red: f64 = 0.0, Scale, Code, soft (-0.1, 0.1), hard (-1.0, 1.0), ends ("more cyan", "redder");
        /// Added to green, in signal (1/1023 is a 10-bit code): plus is greener, minus is more magenta.
        green: f64 = 0.0, Scale, Code, soft (-0.1, 0.1), hard (-1.0, 1.0), ends ("more magenta", "greener");
        /// Added to blue, in signal (1/1023 is a 10-bit code): plus is bluer, minus is more yellow.
        blue: f64 = 0.0, Scale, Code, soft (-0.1, 0.1), hard (-1.0, 1.0), ends ("more yellow", "bluer");
    }
}

impl Operation for ChannelOffset {
    const ID: &'static str = "channel-offset";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "moves the code of red, green and blue, each on the whole waveform alike";
    const HOME: Domain = Domain::Camera;

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        one_step(self, signals)
    }

    fn is_neutral(&self) -> bool {
        [self.red, self.green, self.blue] == [0.0; 3]
    }

    /// On light the same sum is a veil, and no offset of code.
    fn concern(&self, given: &Signal) -> Option<String> {
        (given.curve.is_linear() && !given.is_unknown()).then(|| {
            format!("it moves code, and {given} is light, where it lays a veil over the blacks; flare does that in its own unit")
        })
    }

    fn inverse(&self) -> Option<Self> {
        Some(Self { red: -self.red, green: -self.green, blue: -self.blue })
    }
}

impl Pointwise for ChannelOffset {
    fn describe(&self) -> String {
        format!("channel-offset red {:+} green {:+} blue {:+} of signal", self.red, self.green, self.blue)
    }

    fn shader(&self) -> Shader {
        shader!("ops/channel_offset.wgsl", "ChannelOffset", "op_channel_offset")
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let Self { red, green, blue } = self.clone();
        Box::new(move |rgb| [rgb[0] + red, rgb[1] + green, rgb[2] + blue])
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        Derived::new(vec![("offset", Constant::Triple([self.red, self.green, self.blue]))])
    }

    fn affine(&self, _takes: &Signal) -> Option<Affine> {
        Some(Affine::offset([self.red, self.green, self.blue]))
    }

    fn is_by_channel(&self) -> bool {
        true
    }

    fn budget(&self) -> Budget {
        // One sum, and the offset rounded to f32: half a unit of it where it is larger than the result. It is 1 at most.
        Budget { ulps: 2.0, floor: 2.0 / 16_777_216.0 }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_moves_code_and_veils_light() {
        let code = |name| Signal::code(&colour::Encoding::named(name, None).unwrap());
        let concern = |signal: Signal| ChannelOffset::default().concern(&signal);
        assert!(concern(Signal::scene()).is_some_and(|reason| reason.contains("flare")));
        assert!(concern(code("LogC3").linear()).is_some());
        assert_eq!(concern(code("LogC3")), None);
        assert_eq!(concern(code("BT.1886")), None);
        assert_eq!(concern(Signal::unknown()), None);
    }
}
