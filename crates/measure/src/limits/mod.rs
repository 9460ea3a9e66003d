//! What of a finished frame the limits of quality control are about: levels, clipping, gamut, black.
//!
//! One pass over the pixels, row by row; black bars around the picture are left aside. All shares are counts of pixels
//! that the caller divides by [`Measured::pixels`], and every count comes with the place of its worst pixel.

mod area;
mod black;
mod floats;
mod gamut;
mod rows;

use colour::{CodeRange, range};
use frame::{Frame, Range};

pub use area::Area;
pub use black::Black;
pub use gamut::Gamut;

use area::Pixels;
use black::Darkest;
use rows::Row;

/// Red, green and blue.
const CHANNELS: usize = 3;

/// How a frame's numbers are to be read, and what is looked for in them.
#[derive(Debug, Clone)]
pub struct Terms {
    /// Range of its codes.
    pub range: Range,
    /// Limits of the signal, for codes of legal range and for floats; `None` where they are not looked for.
    pub signal: Option<SignalLimits>,
    /// The gamut that colours must keep within; `None` where there is none.
    pub gamut: Option<Gamut>,
    /// The part that is known to be black; else black is the darkest thousandth of the picture.
    pub black: Option<Area>,
    /// Whether floats are display code, of which no value below 0 or above 1 has a meaning.
    pub display_code: bool,
}

/// The least and the most that red, green, blue and luma may be, in percent of the way from black to white.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SignalLimits {
    /// Of each of red, green and blue.
    pub rgb: [f64; 2],
    /// Of luma.
    pub luma: [f64; 2],
    /// Shares of red, green and blue in luma; they add up to 1.
    pub weights: [f64; 3],
}

/// A pixel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Spot {
    /// Column, from 0 at the left.
    pub x: u32,
    /// Row, from 0 at the top.
    pub y: u32,
    /// Its codes, or its floats.
    pub rgb: [f32; 3],
}

/// Pixels of a kind.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Found {
    /// How many.
    pub pixels: u64,
    /// The one that is so most, and by how much in a measure of its own.
    pub worst: Option<(f32, Spot)>,
}

/// What was measured of a frame.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Measured {
    /// The picture without black bars.
    pub area: Area,
    /// Pixels in it.
    pub pixels: u64,
    /// Pixels outside the limits of the signal; 0 for codes of full range, which cannot leave them.
    pub outside_signal: Found,
    /// Pixels at or above the top of the range in red, green, blue: the highest code, or legal white.
    pub top: [Found; CHANNELS],
    /// Pixels at or below its bottom: code 0, or legal black.
    pub bottom: [Found; CHANNELS],
    /// Pixels outside the gamut.
    pub outside_gamut: Found,
    /// Pixels with a float below 0.
    pub below_zero: Found,
    /// Pixels with a float above 1.
    pub above_one: Found,
    /// Pixels with a NaN or an infinity.
    pub not_finite: Found,
    /// What its black is; `None` for floats that are scene light.
    pub black: Option<Black>,
    /// The codes or floats that all pixels have.
    pub flat: Option<[f32; 3]>,
}

impl Found {
    fn count(&mut self, excess: f32, spot: impl FnOnce() -> Spot) {
        self.pixels += 1;
        if self.worst.is_none_or(|(worst, _)| excess > worst) {
            self.worst = Some((excess, spot()));
        }
    }
}

/// The code of so many percent of the way from legal black to legal white.
///
/// # Source
/// EBU R 103 v3.0 gives 5 to 246 in 8 bits and 20 to 984 in 10 bits for -5 % to 105 %; other depths are those of 10
/// bits times 2^(n-10), from memory.
pub fn legal_code(bits: u32, percent: f64) -> u32 {
    let code = |bits| range::code_from_signal(bits, CodeRange::Legal, percent / 100.0);
    if bits > 10 { code(10) << (bits - 10).min(6) } else { code(bits.max(8)) }
}

/// Measures a frame.
pub fn measured(frame: &Frame, terms: &Terms) -> Measured {
    let pixels = Pixels::of(frame);
    let area = area::without_bars(&pixels, terms.range);
    if frame.layout().is_float() {
        return floats::measured(frame, terms, area);
    }
    let mut of = Codes::new(frame, terms, area);
    let mut row = Row::new(area.width);
    for y in area.y..area.y + area.height {
        row.read(&pixels, area, y);
        of.add(&row, y);
    }
    of.finish(&pixels)
}

/// What the rows of codes add up to.
struct Codes<'a> {
    terms: &'a Terms,
    area: Area,
    bits: u32,
    bottom: u16,
    top: u16,
    /// Least and most code of a channel, least and most luma.
    limits: Option<([u16; 2], [f32; 2], [f32; 3])>,
    least: [u16; CHANNELS],
    most: [u16; CHANNELS],
    darkest: Option<Darkest>,
    out: Measured,
}

impl<'a> Codes<'a> {
    fn new(frame: &Frame, terms: &'a Terms, area: Area) -> Self {
        let bits = frame.layout().bits();
        // Codes have at most 16 bits.
        let short = |code: u32| u16::try_from(code).unwrap_or(u16::MAX);
        let (bottom, top) = match terms.range {
            Range::Full => (0, short(range::largest_code(bits))),
            Range::Legal => (short(legal_code(bits, 0.0)), short(legal_code(bits, 100.0))),
        };
        // Full range ends at 0 and 100 %.
        let signal = terms.signal.filter(|_| terms.range == Range::Legal);
        let limits = signal.map(|SignalLimits { rgb, luma, weights }| {
            let codes = |percents: [f64; 2]| percents.map(|percent| legal_code(bits, percent));
            // Luma counts as the code that it would become.
            let [low, high] = codes(luma).map(|code| code as f32);
            (codes(rgb).map(short), [low - 0.5, high + 0.5], weights.map(|weight| weight as f32))
        });
        let darkest = terms.black.is_none().then(|| Darkest::new(area));
        let out = Measured { area, pixels: area.pixels(), ..Measured::default() };
        let (least, most) = ([u16::MAX; CHANNELS], [0; CHANNELS]);
        Codes { terms, area, bits, bottom, top, limits, least, most, darkest, out }
    }

    fn add(&mut self, row: &Row, y: u32) {
        let span = row.span();
        let spot = |at: usize| Spot { x: self.area.x + at as u32, y, rgb: row.pixel(at).map(f32::from) };
        for (channel, codes) in row.channels.iter().enumerate() {
            let [least, most] = span[channel];
            self.least[channel] = self.least[channel].min(least);
            self.most[channel] = self.most[channel].max(most);
            // Few rows reach an end, so that most are not looked at again.
            if most >= self.top {
                for (at, code) in codes.iter().enumerate().filter(|(_, code)| **code >= self.top) {
                    self.out.top[channel].count(f32::from(code - self.top), || spot(at));
                }
            }
            if least <= self.bottom {
                for (at, code) in codes.iter().enumerate().filter(|(_, code)| **code <= self.bottom) {
                    self.out.bottom[channel].count(f32::from(self.bottom - code), || spot(at));
                }
            }
        }
        if let Some((rgb, luma, weights)) = self.limits {
            let (least, most) =
                span.iter().fold((u16::MAX, 0), |(least, most), span| (least.min(span[0]), most.max(span[1])));
            // Luma lies between the least and the most of the three.
            if least < rgb[0] || most > rgb[1] || f32::from(least) < luma[0] || f32::from(most) >= luma[1] {
                for at in 0..row.len() {
                    let excess = excess(row.pixel(at).map(f32::from), rgb.map(f32::from), luma, weights);
                    if excess > 0.0 {
                        self.out.outside_signal.count(excess, || spot(at));
                    }
                }
            }
        }
        if let Some(gamut) = self.terms.gamut.as_ref().filter(|gamut| gamut.bits() == self.bits) {
            for at in 0..row.len() {
                if let Some(excess) = gamut.excess_of_codes(row.pixel(at)) {
                    self.out.outside_gamut.count(excess, || spot(at));
                }
            }
        }
        if let Some(darkest) = &mut self.darkest {
            darkest.add(row, y);
        }
    }

    fn finish(mut self, pixels: &Pixels<'_>) -> Measured {
        let in_ten = black::in_ten_bits(self.bits, self.terms.range);
        self.out.black = match (self.terms.black, self.darkest) {
            (Some(area), _) => black::of_area(pixels, area, &in_ten),
            (None, Some(darkest)) => darkest.finish(&in_ten),
            (None, None) => None,
        };
        if self.least == self.most {
            self.out.flat = Some(self.least.map(f32::from));
        }
        self.out
    }
}

/// By how much a pixel leaves the limits, in their unit; 0 or less where it does not.
fn excess(pixel: [f32; 3], rgb: [f32; 2], luma: [f32; 2], weights: [f32; 3]) -> f32 {
    let beyond = |value: f32, [low, high]: [f32; 2]| (low - value).max(value - high);
    let of_luma: f32 = pixel.iter().zip(weights).map(|(value, weight)| value * weight).sum();
    pixel.iter().map(|value| beyond(*value, rgb)).fold(beyond(of_luma, luma), f32::max)
}

#[cfg(test)]
mod tests;
