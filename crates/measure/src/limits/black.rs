//! What the black of a picture is: its level and its tint.

use frame::Range;

use super::area::{Area, Pixels};
use super::rows::Row;
use super::{CHANNELS, Spot};

/// The part of a picture that counts as its black where none is marked. Common practice, no source: small enough to be
/// there in any picture with a black.
const SHARE: f64 = 0.001;
/// Columns and rows of a block, which averages noise to a sixteenth.
const SIDE: u32 = 16;

/// What the black of a picture is, in 10-bit codes above nominal black.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Black {
    /// Mean of red, green and blue.
    pub rgb: [f64; 3],
    /// The upper left pixel of the darkest block, with its mean; of a marked part the darkest pixel.
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

/// Finds the darkest blocks as rows come in. Blocks, since of single pixels the darkest are those whose noise is lowest,
/// and where one channel is noisier than the others, as blue is under tungsten light, a neutral black would seem tinted.
pub(super) struct Darkest {
    side: usize,
    left: u32,
    /// Rows that the block row at hand has taken.
    rows: usize,
    /// Codes of each block of it, added up.
    sums: Vec<[u32; CHANNELS]>,
    /// All blocks so far.
    blocks: Vec<Block>,
}

/// A block's codes, added up, and its upper left corner.
#[derive(Clone, Copy)]
struct Block {
    sums: [u32; CHANNELS],
    x: u32,
    y: u32,
}

impl Darkest {
    pub fn new(area: Area) -> Darkest {
        // A picture smaller than a block is one.
        let side = SIDE.min(area.width).min(area.height).max(1) as usize;
        Darkest { side, left: area.x, rows: 0, sums: vec![[0; 3]; area.width as usize / side], blocks: Vec::new() }
    }

    pub fn add(&mut self, row: &Row, y: u32) {
        for (channel, codes) in row.channels.iter().enumerate() {
            for (sums, codes) in self.sums.iter_mut().zip(codes.chunks_exact(self.side)) {
                sums[channel] += codes.iter().map(|code| u32::from(*code)).sum::<u32>();
            }
        }
        self.rows += 1;
        if self.rows == self.side {
            // Both lie within the picture.
            let (side, top) = (self.side as u32, y + 1 - self.side as u32);
            let place = |at: usize| self.left + at as u32 * side;
            let blocks = self.sums.iter().enumerate().map(|(at, sums)| Block { sums: *sums, x: place(at), y: top });
            self.blocks.extend(blocks);
            self.sums.fill([0; 3]);
            self.rows = 0;
        }
    }

    /// The darkest thousandth, one block at least. Dark is what has a small sum of red, green and blue: a sum weighted
    /// as luma is would prefer blocks whose noise is low in green.
    pub fn finish(mut self, in_ten: &impl Fn(f64) -> f64) -> Option<Black> {
        let wanted = ((self.blocks.len() as f64 * SHARE) as usize).max(1);
        self.blocks.sort_unstable_by_key(|block| (block.sums.iter().sum::<u32>(), block.y, block.x));
        let darkest = self.blocks.get(..wanted)?;
        let pixels = (self.side * self.side) as f64;
        let mean = |blocks: &[Block], channel: usize| {
            let sum: f64 = blocks.iter().filter_map(|block| block.sums.get(channel)).map(|sum| f64::from(*sum)).sum();
            sum / (pixels * blocks.len() as f64)
        };
        let first = darkest.first()?;
        let spot = Spot { x: first.x, y: first.y, rgb: [0, 1, 2].map(|channel| mean(&darkest[..1], channel) as f32) };
        Some(Black { rgb: [0, 1, 2].map(|channel| in_ten(mean(darkest, channel))), darkest: spot })
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
