//! What the black of a picture is: its level and its tint.

use frame::Range;

use super::area::{Area, Pixels};
use super::rows::Row;
use super::{CHANNELS, Spot};

/// The part of a picture that counts as its black where none is marked. Common practice, no source: large enough to
/// average noise away, small enough to be there in any picture with a black.
const SHARE: f64 = 0.001;
/// Most bits of a code among which the darkest are looked for: 16-bit codes in steps that no eye tells apart.
const MOST_BITS: u32 = 12;

/// What the black of a picture is, in 10-bit codes above nominal black.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Black {
    /// Mean of red, green and blue.
    pub rgb: [f64; 3],
    /// The darkest pixel.
    pub darkest: Spot,
}

impl Black {
    /// Mean of the three channels.
    pub fn level(&self) -> f64 {
        self.rgb.iter().sum::<f64>() / CHANNELS as f64
    }

    /// The most less the least of the three: 0 for a neutral black.
    pub fn tint(&self) -> f64 {
        let [least, most] = self
            .rgb
            .iter()
            .fold([f64::INFINITY, f64::NEG_INFINITY], |[least, most], value| [least.min(*value), most.max(*value)]);
        most - least
    }
}

/// Turns a code of so many bits into 10-bit codes above nominal black.
pub(super) fn in_ten_bits(bits: u32, range: Range) -> impl Fn(f64) -> f64 {
    let largest = (1_u64 << bits) as f64 - 1.0;
    let step = f64::from(bits).exp2() / 1024.0;
    move |code| match range {
        Range::Full => code * 1023.0 / largest,
        Range::Legal => code / step - 64.0,
    }
}

/// Finds the darkest pixels as rows come in. Dark is what has a small sum of red, green and blue: a sum weighted as luma
/// is would prefer pixels whose noise is low in green, and a neutral black would seem tinted.
pub(super) struct Darkest {
    /// Bits that sums are made smaller by.
    shift: u32,
    /// By sum: pixels, and their codes added up.
    bins: Vec<[u64; 1 + CHANNELS]>,
    wanted: u64,
    /// No more than this sum can be among the darkest any more.
    most: usize,
    spot: Option<(u32, Spot)>,
}

impl Darkest {
    pub fn new(bits: u32, pixels: u64) -> Darkest {
        let shift = bits.saturating_sub(MOST_BITS);
        let bins = CHANNELS << (bits - shift);
        let wanted = ((pixels as f64 * SHARE) as u64).max(1);
        Darkest { shift, bins: vec![[0; 4]; bins], wanted, most: bins - 1, spot: None }
    }

    pub fn add(&mut self, row: &Row, left: u32, y: u32) {
        let [red, green, blue] = &row.channels;
        let sums = red.iter().zip(green).zip(blue).map(|((r, g), b)| u32::from(*r) + u32::from(*g) + u32::from(*b));
        let most = ((self.most as u32) << self.shift) | ((1 << self.shift) - 1);
        let least = sums.clone().min().unwrap_or(u32::MAX);
        if least > most {
            return;
        }
        for (at, sum) in sums.enumerate().filter(|(_, sum)| *sum <= most) {
            let codes = row.pixel(at);
            if let Some(bin) = self.bins.get_mut((sum >> self.shift) as usize) {
                bin[0] += 1;
                bin.iter_mut().skip(1).zip(codes).for_each(|(of, code)| *of += u64::from(code));
            }
            if self.spot.is_none_or(|(least, _)| sum < least) {
                self.spot = Some((sum, Spot { x: left + at as u32, y, rgb: codes.map(f32::from) }));
            }
        }
        let mut below = 0;
        let reached = self.bins.iter().position(|bin| {
            below += bin[0];
            below >= self.wanted
        });
        self.most = reached.unwrap_or(self.most);
    }

    pub fn finish(self, in_ten: &impl Fn(f64) -> f64) -> Option<Black> {
        let (_, darkest) = self.spot?;
        let all = self
            .bins
            .iter()
            .take(self.most + 1)
            .fold([0; 4], |sum: [u64; 4], bin| [0, 1, 2, 3].map(|at: usize| sum[at] + bin[at]));
        let [pixels, sums @ ..] = all;
        Some(Black { rgb: sums.map(|sum| in_ten(sum as f64 / pixels as f64)), darkest })
    }
}

/// The black of a marked part; `None` where no pixel of the picture lies in it.
pub(super) fn of_area(pixels: &Pixels<'_>, area: Area, in_ten: &impl Fn(f64) -> f64) -> Option<Black> {
    let size = pixels.whole();
    let area = area.within(frame::Size::new(size.width, size.height));
    let (mut sums, mut darkest): ([u64; 3], Option<(u32, Spot)>) = ([0; 3], None);
    for y in area.y..area.y + area.height {
        pixels.each_in_row(area, y, area.x.., |x, codes| {
            sums.iter_mut().zip(codes).for_each(|(sum, code)| *sum += u64::from(code));
            let sum = codes.map(u32::from).iter().sum();
            if darkest.is_none_or(|(least, _)| sum < least) {
                darkest = Some((sum, Spot { x, y, rgb: codes.map(f32::from) }));
            }
        });
    }
    let (_, darkest) = darkest?;
    Some(Black { rgb: sums.map(|sum| in_ten(sum as f64 / area.pixels() as f64)), darkest })
}
