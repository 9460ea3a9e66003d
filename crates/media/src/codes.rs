//! Which codes a picture uses, and how often.

use frame::{ByteOrder, Frame, Samples};

/// Red, green and blue.
const CHANNELS: usize = 3;

/// How often each code occurs, a channel at a time, over any number of frames of one depth.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CodeUse {
    bits: u32,
    counts: [Vec<u64>; CHANNELS],
}

/// What float samples span, over any number of frames.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct FloatUse {
    /// The least finite value of red, green and blue.
    pub least: f32,
    /// The greatest finite value.
    pub greatest: f32,
    /// Samples below 0.
    pub negative: u64,
    /// Samples above 1.
    pub above_one: u64,
    /// NaN and infinities.
    pub not_finite: u64,
    /// All samples.
    pub samples: u64,
}

impl CodeUse {
    /// Nothing counted yet. `bits` is 8 to 16, held to it.
    pub fn new(bits: u32) -> CodeUse {
        let bits = bits.clamp(8, 16);
        CodeUse { bits, counts: [(); CHANNELS].map(|()| vec![0; 1 << bits]) }
    }

    /// Counts a frame's pixels. Where there is alpha, only opaque pixels count: colour under others was multiplied
    /// and is no longer the file's code. Frames of another depth and floats are left out.
    pub fn add(&mut self, frame: &Frame) {
        let layout = frame.layout();
        if layout.is_float() || layout.bits() != self.bits {
            return;
        }
        let top = layout.samples.highest_code();
        let word = |bytes: [u8; 4]| match layout.order {
            ByteOrder::Little => u32::from_le_bytes(bytes),
            ByteOrder::Big => u32::from_be_bytes(bytes),
        };
        let short = |bytes: [u8; 2]| match layout.order {
            ByteOrder::Little => u32::from(u16::from_le_bytes(bytes)),
            ByteOrder::Big => u32::from(u16::from_be_bytes(bytes)),
        };
        if layout.samples == Samples::Ten {
            for bytes in frame.bytes().as_chunks::<4>().0 {
                let word = word(*bytes);
                self.count([word >> 22, word >> 12 & 1023, word >> 2 & 1023]);
            }
        } else if layout.has_alpha() {
            for &[r0, r1, g0, g1, b0, b1, a0, a1] in frame.bytes().as_chunks::<8>().0 {
                if short([a0, a1]) == top {
                    self.count([short([r0, r1]), short([g0, g1]), short([b0, b1])]);
                }
            }
        } else {
            for &[r0, r1, g0, g1, b0, b1] in frame.bytes().as_chunks::<6>().0 {
                self.count([short([r0, r1]), short([g0, g1]), short([b0, b1])]);
            }
        }
    }

    fn count(&mut self, codes: [u32; CHANNELS]) {
        for (counts, code) in self.counts.iter_mut().zip(codes) {
            // A code beyond the depth cannot be where a reader did its work.
            if let Some(count) = counts.get_mut(code as usize) {
                *count += 1;
            }
        }
    }

    /// Adds what was counted elsewhere at the same depth.
    pub fn merge(&mut self, other: &CodeUse) {
        for (mine, theirs) in self.counts.iter_mut().zip(&other.counts) {
            for (mine, theirs) in mine.iter_mut().zip(theirs) {
                *mine += theirs;
            }
        }
    }

    /// Bits of a code.
    pub fn bits(&self) -> u32 {
        self.bits
    }

    /// Counts by code for red, green and blue.
    pub fn channels(&self) -> &[Vec<u64>; 3] {
        &self.counts
    }

    /// Counts by code, all channels together.
    pub fn together(&self) -> Vec<u64> {
        let [red, green, blue] = &self.counts;
        red.iter().zip(green).zip(blue).map(|((red, green), blue)| red + green + blue).collect()
    }

    /// Pixels counted.
    pub fn pixels(&self) -> u64 {
        self.counts[0].iter().sum()
    }
}

/// The codes that occur, in order, with their counts.
pub(crate) fn used(counts: &[u64]) -> Vec<(u32, u64)> {
    (0_u32..).zip(counts).filter(|(_, count)| **count > 0).map(|(code, count)| (code, *count)).collect()
}

/// The least code that `share` (0 to 1) of all samples do not exceed; `None` where nothing was counted.
pub fn quantile(counts: &[u64], share: f64) -> Option<u32> {
    let total: u64 = counts.iter().sum();
    let wanted = (share.clamp(0.0, 1.0) * total as f64).max(1.0);
    let mut below = 0;
    (0_u32..).zip(counts).find_map(|(code, count)| {
        below += count;
        (total > 0 && below as f64 >= wanted).then_some(code)
    })
}

impl FloatUse {
    /// Nothing counted yet.
    pub fn none() -> FloatUse {
        let (least, greatest) = (f32::INFINITY, f32::NEG_INFINITY);
        FloatUse { least, greatest, negative: 0, above_one: 0, not_finite: 0, samples: 0 }
    }

    /// Counts a frame of float samples; others are left out.
    pub fn add(&mut self, frame: &Frame) {
        if !frame.layout().is_float() {
            return;
        }
        for [red, green, blue, _] in frame.to_pixels(frame::Range::Full) {
            for value in [red, green, blue] {
                self.samples += 1;
                if !value.is_finite() {
                    self.not_finite += 1;
                    continue;
                }
                self.least = self.least.min(value);
                self.greatest = self.greatest.max(value);
                self.negative += u64::from(value < 0.0);
                self.above_one += u64::from(value > 1.0);
            }
        }
    }

    /// Adds what was counted elsewhere.
    pub fn merge(&mut self, other: &FloatUse) {
        self.least = self.least.min(other.least);
        self.greatest = self.greatest.max(other.greatest);
        self.negative += other.negative;
        self.above_one += other.above_one;
        self.not_finite += other.not_finite;
        self.samples += other.samples;
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::{Channels, Layout, Size};

    #[test]
    fn codes_are_counted_as_stored() {
        let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
        let word = 95_u32 << 22 | 1023 << 12 | 4 << 2;
        let frame = Frame::new(Size::new(1, 2), layout, [word.to_be_bytes(); 2].concat(), 0).unwrap();
        let mut codes = CodeUse::new(10);
        codes.add(&frame);
        assert_eq!((codes.channels()[0][95], codes.channels()[1][1023], codes.channels()[2][4]), (2, 2, 2));
        assert_eq!(codes.pixels(), 2);
        let mut other = CodeUse::new(12);
        other.add(&frame);
        assert_eq!(other.pixels(), 0, "another depth");
        let layout = Layout::new(Channels::Rgba, Samples::Codes(8), ByteOrder::Little);
        let bytes = [1, 0, 2, 0, 3, 0, 255, 0, 9, 0, 9, 0, 9, 0, 128, 0].to_vec();
        let mut eight = CodeUse::new(8);
        eight.add(&Frame::new(Size::new(2, 1), layout, bytes, 0).unwrap());
        assert_eq!(used(&eight.channels()[0]), [(1, 1)], "colour under alpha is no code");
    }

    #[test]
    fn quantiles() {
        assert_eq!(quantile(&[0, 1, 0, 98, 1], 0.0), Some(1));
        assert_eq!(quantile(&[0, 1, 0, 98, 1], 0.5), Some(3));
        assert_eq!(quantile(&[0, 1, 0, 98, 1], 1.0), Some(4));
        assert_eq!(quantile(&[0, 0], 0.5), None);
    }
}
