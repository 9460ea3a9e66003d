//! Exposure views: what of a picture is where on the scale of light, drawn over it or in its place.
//!
//! [`View::class`] says of a pixel what it is, in doubles; [`Class::ink`] and [`Mark::ink`] how that is drawn. A kernel
//! that draws the same may differ where a pixel lies on the edge between two classes, so such pixels are counted.

mod bands;
mod clip;
mod marks;

use colour::{Matrix, Primaries};
use ops::MID_GREY;
use ops::white_balance::xyz_with_d65;

use crate::Tap;
use crate::scopes::DARKEST;

pub use bands::{BANDS, Band, band_of};
pub use clip::Clip;
pub use marks::Mark;

/// A component of light as negative as this share of the greatest one is outside a gamut: more than roundings of floats. In
/// what is darker than five stops under mid grey it would be noise that is marked, so nothing is.
pub const OUTSIDE: f64 = 1e-3;

/// A display's signal this near to black or white is there: half a 10-bit code, which is not written as another one.
pub const AT_END: f64 = 0.5 / 1023.0;

/// What a view is drawn of.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pixel {
    /// What entered the chain, as signal.
    pub original: [f64; 3],
    /// What is at the tap, as signal.
    pub signal: [f64; 3],
}

/// What is wanted to be seen.
#[derive(Debug, Clone, PartialEq)]
pub enum Kind {
    /// Stops from mid grey, a colour for each.
    FalseColour,
    /// What is as light as this, over the picture.
    Zebra(Level),
    /// What is clipped, crushed or outside a gamut, over the picture.
    Warnings,
    /// What is this near, in signal, to black or white, spread out so that a tint is seen; the rest is plain grey.
    BlackWhite {
        /// In signal, above 0 and at most 0.25.
        near: f64,
    },
}

/// A range of levels, the upper end not in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Level {
    /// Luma of code, 1 at white.
    Luma(f64, f64),
    /// Luminance in stops from mid grey.
    Stops(f64, f64),
}

/// A view of the pixels at a tap.
#[derive(Debug, Clone, PartialEq)]
pub struct View {
    kind: Kind,
    tap: Tap,
    clip: Clip,
    gamut: Matrix,
}

/// What a pixel is in a view.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Class {
    /// The picture stays as it is.
    Picture,
    /// Of a band of [`BANDS`], by its number.
    Band(usize),
    /// Marked.
    Mark(Mark),
    /// Shown in this sRGB signal instead.
    Shown([f64; 3]),
}

impl View {
    /// A view at a tap; `clip` says where the original's numbers end, `gamut` which primaries colours shall lie within.
    pub fn new(kind: Kind, tap: Tap, clip: Clip, gamut: &Primaries) -> View {
        // The matrix of real primaries has an inverse.
        let from_xyz = xyz_with_d65(gamut).inverse().unwrap_or(Matrix::IDENTITY);
        View { kind, gamut: from_xyz * tap.xyz_from_light(), tap, clip }
    }

    /// What is seen.
    pub fn kind(&self) -> &Kind {
        &self.kind
    }

    /// What the numbers are.
    pub fn tap(&self) -> &Tap {
        &self.tap
    }

    /// Where the original's numbers end.
    pub fn clip(&self) -> Clip {
        self.clip
    }

    /// Light at the tap to light on the primaries that colours shall lie within.
    pub fn gamut(&self) -> Matrix {
        self.gamut
    }

    /// Whether white and black are those of a display.
    pub fn is_of_display(&self) -> bool {
        self.tap.is_code() && !self.tap.is_scene()
    }

    /// What a pixel is.
    pub fn class(&self, pixel: Pixel) -> Class {
        if pixel.signal.iter().chain(&pixel.original).any(|v| !v.is_finite()) {
            return Class::Mark(Mark::NotANumber);
        }
        match self.kind {
            Kind::FalseColour => match self.clip.of(pixel.original) {
                Some(mark) => Class::Mark(mark),
                None => Class::Band(band_of(self.stops(pixel.signal))),
            },
            Kind::Zebra(level) => {
                let (value, from, to) = match level {
                    Level::Luma(from, to) => (self.luma(pixel.signal), from, to),
                    Level::Stops(from, to) => (self.stops(pixel.signal), from, to),
                };
                if value >= from && value < to { Class::Mark(Mark::Zebra) } else { Class::Picture }
            }
            Kind::Warnings => self.warning(pixel).map_or(Class::Picture, Class::Mark),
            Kind::BlackWhite { near } => self.black_white(pixel.signal, near),
        }
    }

    /// Luminance in stops from mid grey; minus infinity without light.
    fn stops(&self, signal: [f64; 3]) -> f64 {
        let luminance = self.tap.xyz(self.tap.light(signal))[1];
        if luminance > 0.0 { (luminance / MID_GREY).log2() } else { f64::NEG_INFINITY }
    }

    fn luma(&self, signal: [f64; 3]) -> f64 {
        self.tap.y_cb_cr().weights.iter().zip(signal).map(|(weight, v)| weight * v).sum()
    }

    /// The gravest of what is wrong with a pixel: what the camera lost, what the display will not show, what is no colour of
    /// the gamut.
    fn warning(&self, pixel: Pixel) -> Option<Mark> {
        let of_display = || match pixel.signal {
            _ if !self.is_of_display() => None,
            signal if signal.iter().any(|v| *v > 1.0 - AT_END) => Some(Mark::White),
            signal if signal.iter().any(|v| *v < AT_END) => Some(Mark::Black),
            _ => None,
        };
        let outside = || {
            let light = self.gamut.apply(self.tap.light(pixel.signal));
            let greatest = light.into_iter().fold(0.0, f64::max);
            let least = light.into_iter().fold(f64::INFINITY, f64::min);
            (greatest >= DARKEST && least < -OUTSIDE * greatest).then_some(Mark::OutsideGamut)
        };
        self.clip.of(pixel.original).or_else(outside).or_else(of_display)
    }

    fn black_white(&self, signal: [f64; 3], near: f64) -> Class {
        let luma = self.luma(signal);
        if signal.iter().all(|v| *v < AT_END) {
            Class::Mark(Mark::Black)
        } else if signal.iter().all(|v| *v > 1.0 - AT_END) {
            Class::Mark(Mark::White)
        } else if luma <= near {
            Class::Shown(signal.map(|v| 0.44 * (v / near).clamp(0.0, 1.0)))
        } else if luma >= 1.0 - near {
            Class::Shown(signal.map(|v| 0.56 + 0.44 * ((v - 1.0 + near) / near).clamp(0.0, 1.0)))
        } else {
            Class::Shown([0.5; 3])
        }
    }
}

impl Class {
    /// Its sRGB signal at a place, over a picture that is there.
    pub fn ink(&self, x: u32, y: u32, picture: [f64; 3]) -> [f64; 3] {
        match self {
            Class::Picture => picture,
            Class::Band(band) => BANDS.get(*band).map_or(picture, |band| band.ink.map(|code| f64::from(code) / 255.0)),
            Class::Mark(mark) => mark.ink(x, y).map_or(picture, |grey| [grey; 3]),
            Class::Shown(signal) => *signal,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::primaries::{AP1, BT709};
    use colour::{CodeRange, Encoding};
    use ops::{Display, Signal};

    fn class(kind: Kind, signal: Signal, gamut: &Primaries, rgb: [f64; 3]) -> Class {
        let view = View::new(kind, Tap::new(signal), Clip::none(), gamut);
        view.class(Pixel { original: [0.5; 3], signal: rgb })
    }

    #[test]
    fn false_colour_is_of_stops_and_of_clipping_in_the_original() {
        let grey = |stops: f64| class(Kind::FalseColour, Signal::scene(), &AP1, [0.18 * stops.exp2(); 3]);
        for (stops, numeral) in [(-9.0, "<-6"), (-6.49, "-6"), (-0.49, "0"), (0.49, "0"), (0.51, "+1"), (7.0, ">+6")] {
            let Class::Band(band) = grey(stops) else { panic!("{stops}") };
            assert_eq!(BANDS[band].numeral, numeral, "{stops}");
        }
        assert_eq!(class(Kind::FalseColour, Signal::scene(), &AP1, [0.0; 3]), Class::Band(0));
        let clip = Clip::of_codes(10, CodeRange::Full);
        let view = View::new(Kind::FalseColour, Tap::new(Signal::scene()), clip, &AP1);
        let original = |code: f64| view.class(Pixel { original: [0.4, code / 1023.0, 0.4], signal: [0.18; 3] });
        assert_eq!(original(1023.0), Class::Mark(Mark::ClippedInOriginal));
        assert_eq!(original(1022.0), Class::Band(7));
        assert_eq!(original(0.0), Class::Mark(Mark::CrushedInOriginal));
        let nan = view.class(Pixel { original: [0.4; 3], signal: [f64::NAN, 0.0, 0.0] });
        assert_eq!(nan, Class::Mark(Mark::NotANumber));
    }

    /// Source: ARRI, ALEXA Log C Curve, 2012: mid grey is code 400 of 1023 at EI 800.
    #[test]
    fn zebra_is_of_luma_or_of_stops() {
        let log = Signal::code(&Encoding::named("LogC3", Some(800)).unwrap());
        let of = |level, code: f64| class(Kind::Zebra(level), log.clone(), &AP1, [code / 1023.0; 3]);
        assert_eq!(of(Level::Stops(-0.1, 0.1), 400.0), Class::Mark(Mark::Zebra));
        assert_eq!(of(Level::Stops(-0.1, 0.1), 430.0), Class::Picture);
        assert_eq!(of(Level::Luma(0.7, 1.0), 717.0), Class::Mark(Mark::Zebra));
        assert_eq!(of(Level::Luma(0.7, 1.0), 716.0), Class::Picture);
        assert_eq!(of(Level::Luma(0.6, 0.7), 717.0), Class::Picture);
    }

    #[test]
    fn warnings_are_of_the_ends_and_of_the_gamut() {
        let display = Display::Bt1886.signal(100.0, 0.0);
        let warn = |rgb| class(Kind::Warnings, display.clone(), &BT709, rgb);
        assert_eq!(warn([0.5, 1.0, 0.5]), Class::Mark(Mark::White));
        assert_eq!(warn([0.5, 0.0, 0.5]), Class::Mark(Mark::Black));
        // A code of 10 bits away from either end is not there.
        assert_eq!(warn([0.5, 1e-38, 0.5]), Class::Mark(Mark::Black));
        assert_eq!(warn([1.0 / 1023.0, 0.5, 1022.0 / 1023.0]), Class::Picture);
        assert_eq!(warn([0.5, 0.9, 0.1]), Class::Picture);
        // P3's green is outside BT.709 (SMPTE RP 431-2), its grey is not.
        let p3 = Display::P3D65.signal(100.0, 0.0);
        assert_eq!(class(Kind::Warnings, p3.clone(), &BT709, [0.1, 0.9, 0.1]), Class::Mark(Mark::OutsideGamut));
        assert_eq!(class(Kind::Warnings, p3.clone(), &BT709, [0.4; 3]), Class::Picture);
        assert_eq!(class(Kind::Warnings, p3, &BT709, [0.01, 0.09, 0.01]), Class::Picture);
    }

    #[test]
    fn the_ends_are_spread_out_and_a_tint_is_seen() {
        let display = Display::Bt1886.signal(100.0, 0.0);
        let of = |rgb| class(Kind::BlackWhite { near: 0.05 }, display.clone(), &BT709, rgb);
        assert_eq!(of([0.0, -0.1, 0.0]), Class::Mark(Mark::Black));
        assert_eq!(of([1.0; 3]), Class::Mark(Mark::White));
        assert_eq!(of([0.4; 3]), Class::Shown([0.5; 3]));
        let Class::Shown([red, green, blue]) = of([0.02, 0.02, 0.03]) else { panic!("dark") };
        // A hundredth of signal is a fifth of what is spread over 0.44.
        assert!((blue - green - 0.088).abs() < 1e-12 && (red - 0.176).abs() < 1e-12);
        let Class::Shown([red, green, _]) = of([0.97, 0.98, 0.98]) else { panic!("light") };
        assert!((green - red - 0.088).abs() < 1e-12 && red > 0.56);
    }
}
