//! A place in a candidate where a picture is measured: from the numbers on the wire to light.

use colour::transfer::{Form, Transfer, pq};
use colour::{Matrix, hlg_ootf};
use ops::white_balance::xyz_with_d65;
use ops::{ChannelGain, ChannelOffset, CodeToLight, HlgLight, Point, Reference, Signal, Step};

use crate::scopes::YCbCr;

/// Light of HDR reference white in nits: what L* = 100 means on PQ and HLG.
///
/// # Source
/// Rep. ITU-R BT.2408, table 1.
pub const HDR_WHITE_NITS: f64 = 203.0;

/// What the numbers at a place of a candidate are, with the matrix that makes them colours.
///
/// Light here is linear on the signal's own primaries: 1 is a perfect reflector in a scene, white on a display (its peak, or
/// [`HDR_WHITE_NITS`] on PQ and HLG). Equal red, green and blue read as D65 whatever the primaries' white is.
#[derive(Debug, Clone, PartialEq)]
pub struct Tap {
    signal: Signal,
    xyz_from_light: Matrix,
    y_cb_cr: YCbCr,
}

impl Tap {
    /// A tap on a wire of this signal.
    pub fn new(signal: Signal) -> Tap {
        let xyz_from_light = xyz_with_d65(&signal.primaries);
        let y_cb_cr = YCbCr::of(&signal.primaries);
        Tap { signal, xyz_from_light, y_cb_cr }
    }

    /// The same with other weights of luma and another plane of colour difference: what a file says, and primaries do not.
    #[must_use]
    pub fn with_y_cb_cr(self, y_cb_cr: YCbCr) -> Tap {
        Tap { y_cb_cr, ..self }
    }

    /// What the numbers are.
    pub fn signal(&self) -> &Signal {
        &self.signal
    }

    /// Whether the numbers stand for the light of a scene: only there stops mean something.
    pub fn is_scene(&self) -> bool {
        self.signal.reference == Reference::Scene
    }

    /// Whether the numbers are code and not linear light.
    pub fn is_code(&self) -> bool {
        !self.signal.curve.is_linear()
    }

    /// Whether the display goes beyond reference white: PQ and HLG.
    pub fn is_hdr(&self) -> bool {
        !self.is_scene() && matches!(self.signal.curve.transfer, Transfer::Pq | Transfer::Hlg)
    }

    /// Nits of light 1; none in a scene.
    pub fn white_nits(&self) -> Option<f64> {
        match self.signal.reference {
            Reference::Scene => None,
            Reference::Display { .. } if self.is_hdr() => Some(HDR_WHITE_NITS),
            Reference::Display { peak_nits, .. } => Some(peak_nits),
        }
    }

    /// The linear light of a pixel, on the signal's own primaries.
    pub fn light(&self, rgb: [f64; 3]) -> [f64; 3] {
        let linear = rgb.map(|code| self.signal.curve.transfer.decode(Form::Exact, code));
        let Reference::Display { peak_nits, black_nits } = self.signal.reference else { return linear };
        match self.signal.curve.transfer {
            Transfer::Pq => linear.map(|v| v * pq::NITS_PER_LINEAR / HDR_WHITE_NITS),
            Transfer::Hlg => hlg_ootf::nits_from_scene(linear, peak_nits, black_nits).map(|v| v / HDR_WHITE_NITS),
            // Linear 0 is the display's black.
            _ => linear.map(|v| (black_nits + v * (peak_nits - black_nits)) / peak_nits),
        }
    }

    /// The same in steps that a plan can run; none where the numbers are that light already.
    pub fn light_steps(&self) -> Vec<Step> {
        let Signal { curve, reference, .. } = &self.signal;
        let affine = |gain: f64, offset: f64| -> [Point; 2] {
            [
                ChannelGain { red: gain, green: gain, blue: gain }.into(),
                ChannelOffset { red: offset, green: offset, blue: offset }.into(),
            ]
        };
        let mut points: Vec<Point> = Vec::new();
        let decode = || CodeToLight::exact(curve.clone()).into();
        match (*reference, &curve.transfer) {
            (Reference::Scene, Transfer::Linear) => {}
            (Reference::Scene, _) => points.push(decode()),
            (Reference::Display { .. }, Transfer::Pq) => {
                points.push(decode());
                points.extend(affine(pq::NITS_PER_LINEAR / HDR_WHITE_NITS, 0.0));
            }
            (Reference::Display { peak_nits, black_nits }, Transfer::Hlg) => {
                let lift = hlg_ootf::black_lift(peak_nits, black_nits);
                if lift > 0.0 {
                    points.extend(affine(1.0 - lift, lift));
                }
                points.extend([decode(), HlgLight::shown(peak_nits).into()]);
                // What that gives is in hundreds of nits.
                points.extend(affine(100.0 / HDR_WHITE_NITS, 0.0));
            }
            (Reference::Display { peak_nits, black_nits }, _) => {
                points.push(decode());
                if black_nits > 0.0 {
                    points.extend(affine((peak_nits - black_nits) / peak_nits, black_nits / peak_nits));
                }
            }
        }
        let step = |point: Point| Step { point, takes: self.signal.clone(), gives: self.signal.linear() };
        points.into_iter().map(step).collect()
    }

    /// The linear light of pixels in single float, for the scopes that count light. Alpha stays.
    pub fn lights(&self, pixels: &[[f32; 4]]) -> Vec<[f32; 4]> {
        let one = |[red, green, blue, alpha]: &[f32; 4]| {
            let [red, green, blue] = self.light([*red, *green, *blue].map(f64::from)).map(|v| v as f32);
            [red, green, blue, *alpha]
        };
        pixels.iter().map(one).collect()
    }

    /// The numbers of a light: [`Tap::light`] undone.
    pub fn signal_of_light(&self, light: [f64; 3]) -> [f64; 3] {
        let linear = match self.signal.reference {
            Reference::Scene => light,
            Reference::Display { peak_nits, black_nits } => match self.signal.curve.transfer {
                Transfer::Pq => light.map(|v| v * HDR_WHITE_NITS / pq::NITS_PER_LINEAR),
                Transfer::Hlg => hlg_ootf::scene_from_nits(light.map(|v| v * HDR_WHITE_NITS), peak_nits, black_nits),
                _ => light.map(|v| (v * peak_nits - black_nits) / (peak_nits - black_nits)),
            },
        };
        linear.map(|v| self.signal.curve.transfer.encode(Form::Exact, v))
    }

    /// The signal of a grey of so many nits; none in a scene.
    pub fn signal_of_grey(&self, nits: f64) -> Option<f64> {
        let [signal, ..] = self.signal_of_light([nits / self.white_nits()?; 3]);
        Some(signal)
    }

    /// CIE XYZ of light, Y = 1 at light 1, white D65.
    pub fn xyz(&self, light: [f64; 3]) -> [f64; 3] {
        self.xyz_from_light.apply(light)
    }

    /// The linear light of CIE XYZ, as [`Tap::xyz`] has it; none for primaries that span no colours.
    pub fn light_of_xyz(&self, xyz: [f64; 3]) -> Option<[f64; 3]> {
        self.xyz_from_light.inverse().map(|matrix| matrix.apply(xyz))
    }

    /// Linear light to CIE XYZ, as [`Tap::xyz`] does it.
    pub fn xyz_from_light(&self) -> Matrix {
        self.xyz_from_light
    }

    /// The weights of luminance on linear light.
    pub fn luminance_weights(&self) -> [f64; 3] {
        self.xyz_from_light.0[1]
    }

    /// The weights of luma on code and the plane of colour difference; those that go with the primaries unless told.
    pub fn y_cb_cr(&self) -> YCbCr {
        self.y_cb_cr
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::primaries::D65;
    use colour::{Encoding, Xy};
    use ops::{Display, Rendering};

    #[test]
    fn grey_comes_back_as_the_nits_it_was_made_of() {
        for display in Display::ALL {
            for (peak, black) in [(display.usual_peak_nits(Rendering::Plain), 0.0), (800.0, 0.05)] {
                let tap = Tap::new(display.signal(peak, black));
                for nits in [0.5, 18.0, 203.0, 0.9 * peak] {
                    let signal = tap.signal_of_grey(nits).unwrap();
                    let [light, ..] = tap.light([signal; 3]);
                    let got = light * tap.white_nits().unwrap();
                    // A power and its inverse: some ulp; PQ turns one of code into 1e-14 of light.
                    assert!((got - nits).abs() < 1e-11 * peak, "{display} {peak}: {nits} came back as {got}");
                }
            }
        }
    }

    #[test]
    fn light_comes_back_as_the_numbers_it_was() {
        let encodings = Encoding::ids().iter().map(|id| Tap::new(Signal::code(&Encoding::named(id, None).unwrap())));
        let displays = Display::ALL.map(|display| Tap::new(display.signal(800.0, 0.05)));
        for tap in encodings.chain(displays) {
            let code = [0.4, 0.55, 0.7];
            let again = tap.signal_of_light(tap.light(code));
            // Curves and their inverses, some of them by constants of eight digits.
            assert!(code.iter().zip(again).all(|(want, got)| (want - got).abs() < 1e-7), "{}: {again:?}", tap.signal());
        }
    }

    /// Source: Rep. ITU-R BT.2408, table 1: reference white is 58 % of PQ and 75 % of HLG on a display of 1000 nits.
    #[test]
    fn reference_white_has_its_published_signal() {
        let signal =
            |display: Display, peak| Tap::new(display.signal(peak, 0.0)).signal_of_grey(HDR_WHITE_NITS).unwrap();
        assert!((signal(Display::Pq, 10_000.0) - 0.58).abs() < 0.005);
        assert!((signal(Display::Hlg, 1000.0) - 0.75).abs() < 0.005);
    }

    #[test]
    fn pixels_become_light_and_luminance_is_y() {
        let tap = Tap::new(Display::Gamma22.signal(100.0, 0.0));
        let [[red, green, blue, alpha]] = tap.lights(&[[0.5, 1.0, 0.0, 0.25]])[..] else { panic!("one pixel") };
        assert!((red - 0.5f32.powf(2.2)).abs() < 1e-6 && (green, blue, alpha) == (1.0, 0.0, 0.25));
        let y: f64 = tap.luminance_weights().iter().sum();
        assert!((y - 1.0).abs() < 1e-12);
        let blue = tap.xyz([0.0, 0.0, 1.0])[1];
        assert!((blue - tap.luminance_weights()[2]).abs() < 1e-15);
    }

    #[test]
    fn the_steps_to_light_are_the_way_to_light() {
        use ops::Pointwise as _;
        let displays = Display::ALL.iter().flat_map(|display| {
            let peak = display.usual_peak_nits(Rendering::Plain);
            [display.signal(peak, 0.0), display.signal(peak, 0.05)]
        });
        let cameras = ["LogC3", "ACES2065-1"].map(|name| Signal::code(&Encoding::named(name, None).unwrap()));
        for tap in displays.chain(cameras).map(Tap::new) {
            for rgb in [[0.0, 0.5, 1.0], [0.9, 0.1, 0.3], [0.02, 0.03, 0.01]] {
                let by_steps = tap.light_steps().iter().fold(rgb, |rgb, step| step.point.eval(&step.takes)(rgb));
                for (got, want) in by_steps.into_iter().zip(tap.light(rgb)) {
                    // The same operations in doubles, in another order.
                    assert!((got - want).abs() < 1e-12 * want.abs().max(1.0), "{}: {got} {want}", tap.signal());
                }
            }
        }
    }

    #[test]
    fn equal_channels_are_d65_everywhere() {
        for id in Encoding::ids() {
            let tap = Tap::new(Signal::code(&Encoding::named(id, None).unwrap()));
            let Xy { x, y } = Xy::from_xyz(tap.xyz(tap.light([0.5; 3])));
            // Two matrices of doubles.
            assert!((x - D65.x).abs() < 1e-12 && (y - D65.y).abs() < 1e-12, "{id}: {x} {y}");
        }
    }
}
