//! Parts of a picture, and the picture without the black bars around it.

use colour::range;
use frame::{ByteOrder, Frame, Layout, Range, Samples};
use half::f16;

use super::legal_code;

/// A rectangle of pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Area {
    /// Column of its left edge.
    pub x: u32,
    /// Row of its upper edge.
    pub y: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

impl Area {
    /// Pixels in it.
    pub fn pixels(self) -> u64 {
        u64::from(self.width) * u64::from(self.height)
    }

    /// The part of it that lies within a picture of this size.
    #[must_use]
    pub fn within(self, size: frame::Size) -> Area {
        let (x, y) = (self.x.min(size.width), self.y.min(size.height));
        Area { x, y, width: self.width.min(size.width - x), height: self.height.min(size.height - y) }
    }
}

/// The pixels of a frame, one at a time or a row at a time.
pub(super) struct Pixels<'a> {
    frame: &'a Frame,
    layout: Layout,
    stride: usize,
}

impl<'a> Pixels<'a> {
    pub fn of(frame: &'a Frame) -> Self {
        let layout = frame.layout();
        Pixels { frame, layout, stride: layout.bytes_per_pixel() }
    }

    pub fn whole(&self) -> Area {
        let size = self.frame.size();
        Area { x: 0, y: 0, width: size.width, height: size.height }
    }

    /// Gives every code of a row's part to what stands beside it in `out`. Alpha is left aside: what counts is the
    /// picture over black.
    pub fn each_in_row<T>(&self, area: Area, y: u32, out: impl Iterator<Item = T>, mut take: impl FnMut(T, [u16; 3])) {
        let bytes = self.row(area, y);
        match (self.layout.samples, self.layout.order, self.layout.has_alpha()) {
            (Samples::Ten, ByteOrder::Big, _) => {
                bytes.as_chunks::<4>().0.iter().zip(out).for_each(|(b, out)| take(out, ten(u32::from_be_bytes(*b))));
            }
            (Samples::Ten, ByteOrder::Little, _) => {
                bytes.as_chunks::<4>().0.iter().zip(out).for_each(|(b, out)| take(out, ten(u32::from_le_bytes(*b))));
            }
            (_, order, false) => {
                bytes.as_chunks::<6>().0.iter().zip(out).for_each(|(b, out)| take(out, shorts(b, order)));
            }
            (_, order, true) => {
                bytes.as_chunks::<8>().0.iter().zip(out).for_each(|(b, out)| take(out, shorts(b, order)));
            }
        }
    }

    /// The values of a row's part, floats as they are.
    pub fn floats_in_row(&self, area: Area, y: u32) -> impl Iterator<Item = [f32; 3]> + '_ {
        let (samples, order) = (self.layout.samples, self.layout.order);
        self.row(area, y).chunks_exact(self.stride).map(move |bytes| match samples {
            Samples::Half => shorts(bytes, order).map(|bits| f16::from_bits(bits).to_f32()),
            _ => [0, 1, 2].map(|channel: usize| {
                let bytes = bytes.get(4 * channel..4 * channel + 4).and_then(|bytes| bytes.try_into().ok());
                let bytes = bytes.unwrap_or_default();
                match order {
                    ByteOrder::Big => f32::from_be_bytes(bytes),
                    ByteOrder::Little => f32::from_le_bytes(bytes),
                }
            }),
        })
    }

    fn row(&self, area: Area, y: u32) -> &'a [u8] {
        let start = area.x as usize * self.stride;
        self.frame.rows(y, 1).get(start..start + area.width as usize * self.stride).unwrap_or_default()
    }
}

fn ten(word: u32) -> [u16; 3] {
    // Ten bits fit into sixteen.
    [word >> 22, word >> 12 & 1023, word >> 2 & 1023].map(|code| code as u16)
}

fn shorts(bytes: &[u8], order: ByteOrder) -> [u16; 3] {
    let &[r0, r1, g0, g1, b0, b1, ..] = bytes else { return [0; 3] };
    let samples = [[r0, r1], [g0, g1], [b0, b1]];
    match order {
        ByteOrder::Big => samples.map(u16::from_be_bytes),
        ByteOrder::Little => samples.map(u16::from_le_bytes),
    }
}

/// The picture without rows and columns at its edges that are black; all of it where nothing would be left. Black is
/// nominal black and up to an 8-bit code above it, which dither and noise reach.
pub(super) fn without_bars(pixels: &Pixels<'_>, range: Range) -> Area {
    let whole = pixels.whole();
    let dark = darkness(pixels.layout, range);
    let is_black = |area: Area, y: u32| {
        let mut black = true;
        if pixels.layout.is_float() {
            black = pixels.floats_in_row(area, y).all(|rgb| rgb.iter().all(|value| *value <= dark));
        } else {
            let first = Area { width: 1, ..area };
            let mut look = |rgb: [u16; 3]| black &= rgb.iter().all(|code| f32::from(*code) <= dark);
            // Most rows are told by their first pixel.
            pixels.each_in_row(first, y, std::iter::once(()), |(), rgb| look(rgb));
            if black && area.width > 1 {
                let mut look = |rgb: [u16; 3]| black &= rgb.iter().all(|code| f32::from(*code) <= dark);
                pixels.each_in_row(area, y, std::iter::repeat(()), |(), rgb| look(rgb));
            }
        }
        black
    };
    let top = (0..whole.height).take_while(|y| is_black(whole, *y)).count() as u32;
    if top == whole.height {
        return whole;
    }
    let below = (top..whole.height).rev().take_while(|y| is_black(whole, *y)).count() as u32;
    let middle = Area { y: top, height: whole.height - top - below, ..whole };
    let rows = middle.y..middle.y + middle.height;
    let column = |x: u32| rows.clone().all(|y| is_black(Area { x, width: 1, ..middle }, y));
    let left = (0..whole.width).take_while(|x| column(*x)).count() as u32;
    let right = (left..whole.width).rev().take_while(|x| column(*x)).count() as u32;
    Area { x: left, width: whole.width - left - right, ..middle }
}

/// The most that counts as black in a bar.
fn darkness(layout: Layout, range: Range) -> f32 {
    if layout.is_float() {
        return 1.0 / 255.0;
    }
    let bits = layout.bits();
    let black = if range == Range::Legal { legal_code(bits, 0.0) } else { 0 };
    (black + range::video_data_codes(bits).0) as f32
}
