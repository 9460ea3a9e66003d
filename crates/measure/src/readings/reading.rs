//! A probe and what it reads.

use colour::{CodeRange, Xy, cct, locus, range};
use frame::Size;
use ops::MID_GREY;

use super::{Statistics, Tristimulus, kept};
use crate::Tap;
use crate::scopes::{DARKEST, Region};

/// Colour difference below which a hue says nothing: half a 10-bit code.
const LEAST_CHROMA: f64 = 0.5 / 1023.0;

/// Which average stands for the area.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Average {
    /// The mean: what light itself does.
    #[default]
    Mean,
    /// The median, channel by channel: what most pixels are near.
    Median,
}

/// What reads an area of a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Probe {
    /// What the picture's numbers are.
    pub tap: Tap,
    /// Depth and range of the codes that readings are given in; none for float files and linear light.
    pub codes: Option<(u32, CodeRange)>,
    /// Which average colour and stops are those of.
    pub average: Average,
    /// The white that white is told from.
    pub target_white: Xy,
}

/// Where a white lies from the target white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct WhiteShift {
    /// In mired; plus is warmer than the target.
    pub mired: f64,
    /// In Duv; plus is greener.
    pub duv: f64,
}

/// Where a colour lies in the plane of a vectorscope.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hue {
    /// The angle, 0 to 360 degrees anticlockwise from +Cb.
    pub degrees: f64,
    /// The distance from no colour, in colour difference signal.
    pub chroma: f64,
}

/// What an area measures.
#[derive(Debug, Clone, PartialEq)]
pub struct Reading {
    /// Pixels that count.
    pub pixels: usize,
    /// Outliers left out; the rule is that of [`kept`].
    pub left_out: usize,
    /// Pixels that are not finite.
    pub not_finite: usize,
    /// The numbers on the wire.
    pub signal: Statistics,
    /// The same in codes, if the probe has some; the average of many need not be a whole one.
    pub code: Option<Statistics>,
    /// Linear light on the tap's primaries, averaged as light.
    pub light: Statistics,
    /// The colour of the average light.
    pub colour: Tristimulus,
    /// Luminance in stops from mid grey; none on a display and without light.
    pub stops: Option<f64>,
    /// Correlated colour temperature in kelvin, and Duv; none for what has none and below five stops under mid grey.
    pub cct_duv: Option<(f64, f64)>,
    /// The same from the target white.
    pub white: Option<WhiteShift>,
    /// Hue of the average code in the vectorscope's plane; none for linear light and without colour.
    pub hue: Option<Hue>,
}

impl Probe {
    /// Reads a region of the tap's pixels, `size` of them row by row. None where none of the region's pixels is there and
    /// finite.
    pub fn read(&self, pixels: &[[f32; 4]], size: Size, region: Region) -> Option<Reading> {
        let region = Region::whole(size)?.meet(region)?;
        let rows = pixels.chunks(size.width as usize).skip(region.y() as usize).take(region.height() as usize);
        let inside = rows
            .flat_map(|row| row.iter().skip(region.x() as usize).take(region.width() as usize))
            .map(|[red, green, blue, _]| [*red, *green, *blue].map(f64::from));
        self.read_values(inside)
    }

    /// Reads these pixels, all of one area. None if none is finite.
    pub fn read_values(&self, pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Reading> {
        let scale = self.codes.map(|(bits, range)| range::scale_and_offset(bits, range));
        let kept = kept(pixels, scale.map_or(0.0, |(scale, _)| 1.0 / scale));
        let light: Vec<_> = kept.pixels.iter().map(|pixel| self.tap.light(*pixel)).collect();
        let (signal, light) = (Statistics::of(&kept.pixels)?, Statistics::of(&light)?);
        let colour = Tristimulus { xyz: self.tap.xyz(self.average(&light)), white_nits: self.tap.white_nits() };
        let luminance = colour.xyz[1];
        let cct_duv = if luminance >= DARKEST { colour.cct_duv() } else { None };
        Some(Reading {
            pixels: kept.pixels.len(),
            left_out: kept.left_out,
            not_finite: kept.not_finite,
            signal,
            code: scale.map(|(scale, offset)| signal.scaled(scale, offset)),
            light,
            colour,
            stops: (self.tap.is_scene() && luminance > 0.0).then(|| (luminance / MID_GREY).log2()),
            cct_duv,
            white: cct_duv.and_then(|white| self.shift(white)),
            hue: self.hue(self.average(&signal)),
        })
    }

    fn average(&self, statistics: &Statistics) -> [f64; 3] {
        match self.average {
            Average::Mean => statistics.mean,
            Average::Median => statistics.median,
        }
    }

    fn shift(&self, (kelvin, duv): (f64, f64)) -> Option<WhiteShift> {
        let (target, target_duv) = cct::cct_duv(self.target_white).ok()?;
        let mired = locus::mired_from_kelvin(kelvin) - locus::mired_from_kelvin(target);
        Some(WhiteShift { mired, duv: duv - target_duv })
    }

    fn hue(&self, code: [f64; 3]) -> Option<Hue> {
        let [cb, cr] = self.tap.y_cb_cr().difference(code);
        let chroma = cb.hypot(cr);
        let degrees = cr.atan2(cb).to_degrees().rem_euclid(360.0);
        (self.tap.is_code() && chroma >= LEAST_CHROMA).then_some(Hue { degrees, chroma })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::primaries::D65;
    use colour::{Encoding, White};
    use ops::{Display, Signal};

    fn probe(signal: Signal, codes: Option<(u32, CodeRange)>) -> Probe {
        Probe { tap: Tap::new(signal), codes, average: Average::Mean, target_white: D65 }
    }

    #[test]
    fn a_grey_card_in_camera_log() {
        let log = Signal::code(&Encoding::named("LogC3", Some(800)).unwrap());
        let reading = probe(log, Some((10, CodeRange::Full))).read_values([[0.391_007; 3]; 9]).unwrap();
        // Source: ARRI, ALEXA Log C Curve, 2012: mid grey is code 400 of 1023 at EI 800.
        assert_eq!(reading.code.unwrap().median.map(f64::round), [400.0; 3]);
        assert!(reading.stops.unwrap().abs() < 1e-4);
        let white = reading.white.unwrap();
        assert!(white.mired.abs() < 1e-6 && white.duv.abs() < 1e-10);
        assert_eq!((reading.hue, reading.colour.nits(), reading.pixels), (None, None, 9));
    }

    #[test]
    fn white_is_told_from_the_target_and_not_in_the_dark() {
        let mut probe = probe(Signal::scene(), None);
        probe.target_white = "5600K".parse::<White>().unwrap().xy().unwrap();
        let grey = |stops: f64| probe.read_values([[0.18 * stops.exp2(); 3]]).unwrap();
        let (kelvin, duv) = cct::cct_duv(D65).unwrap();
        let white = grey(0.0).white.unwrap();
        // D65 under a target of 5600 K is bluer and, off the Planckian locus, greener.
        assert!((white.mired - (1e6 / kelvin - 1e6 / 5600.0)).abs() < 1e-6 && white.mired < -20.0);
        assert!((white.duv - duv).abs() < 1e-9 && white.duv > 0.003);
        assert!(grey(-4.99).white.is_some());
        let dark = grey(-5.01);
        assert_eq!((dark.white, dark.cct_duv), (None, None));
        assert!((dark.stops.unwrap() + 5.01).abs() < 1e-9);
        assert_eq!(probe.read_values([[0.0; 3]]).unwrap().stops, None);
    }

    #[test]
    fn displays_have_nits_and_hue_and_no_stops() {
        let reading = probe(Display::Bt1886.signal(100.0, 0.0), Some((8, CodeRange::Legal)))
            .read_values([[0.75, 0.0, 0.0]])
            .unwrap();
        assert_eq!((reading.stops, reading.code.unwrap().mean.map(f64::round)), (None, [180.0, 16.0, 16.0]));
        // Red of 75 % bars: Rec. ITU-R BT.709-6 items 3.2 and 3.3 give 102.906 degrees.
        assert!((reading.hue.unwrap().degrees - 102.906).abs() < 1e-3);
        let nits = 100.0 * 0.2126 * 0.75f64.powf(2.4);
        assert!((reading.colour.nits().unwrap() - nits).abs() < 0.01); // 0.2126 has four digits
    }

    #[test]
    fn light_is_averaged_as_light_and_the_median_stands_for_itself() {
        let mut probe = probe(Display::Gamma22.signal(100.0, 0.0), None);
        let pixels = [[0.2; 3], [0.3; 3], [0.5; 3]];
        let mean = probe.read_values(pixels).unwrap();
        let light = (0.2f64.powf(2.2) + 0.3f64.powf(2.2) + 0.5f64.powf(2.2)) / 3.0;
        assert!((mean.colour.xyz[1] - light).abs() < 1e-12);
        probe.average = Average::Median;
        assert!((probe.read_values(pixels).unwrap().colour.xyz[1] - 0.3f64.powf(2.2)).abs() < 1e-12);
    }

    #[test]
    fn only_the_region_is_read() {
        let size = Size::new(3, 2);
        let probe = probe(Signal::scene(), None);
        let pixels: Vec<[f32; 4]> = (0..6).map(|i| [i as f32; 4]).collect();
        let region = Region::new(1, 1, 9, 9, size).unwrap();
        assert_eq!(probe.read(&pixels, size, region).unwrap().signal.mean, [4.5; 3]);
        assert_eq!(probe.read(&pixels[..4], size, region), None);
        assert_eq!(probe.read(&[[f32::NAN; 4]; 6], size, region), None);
    }
}
