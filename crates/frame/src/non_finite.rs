//! NaN and infinity are counted and replaced when a frame enters, so that no kernel ever meets one.

use half::f16;
use rayon::prelude::*;

use crate::{ByteOrder, Frame, Samples};

/// How many samples of a frame were not finite.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct NonFinite {
    /// Samples that were not a number; they became 0.
    pub nan: u64,
    /// Samples that were infinite; they became the largest half float of their sign.
    pub infinite: u64,
}

impl NonFinite {
    /// Whether every sample was finite.
    pub fn is_none(self) -> bool {
        self.nan == 0 && self.infinite == 0
    }

    fn plus(self, other: NonFinite) -> NonFinite {
        NonFinite { nan: self.nan + other.nan, infinite: self.infinite + other.infinite }
    }

    fn of(value: f32) -> NonFinite {
        NonFinite { nan: u64::from(value.is_nan()), infinite: u64::from(value.is_infinite()) }
    }
}

/// Bytes a thread takes at a time: large enough to hide the scheduling, a multiple of every sample.
const CHUNK: usize = 1 << 18;

impl Frame {
    /// Replaces NaN by 0 and infinity by +-65504, the largest half float, and counts both, alpha
    /// included. Integer frames have nothing to replace.
    pub fn replace_non_finite(&mut self) -> NonFinite {
        let order = self.layout().order;
        match self.layout().samples {
            Samples::Ten | Samples::Codes(_) => NonFinite::default(),
            Samples::Half => replace(self.bytes_mut(), |sample| replace_half(sample, order)),
            Samples::Float => replace(self.bytes_mut(), |sample| replace_float(sample, order)),
        }
    }
}

fn replace<const N: usize>(bytes: &mut [u8], one: impl Fn(&mut [u8; N]) -> NonFinite + Sync) -> NonFinite {
    bytes
        .par_chunks_mut(CHUNK)
        .map(|chunk| {
            let (samples, _) = chunk.as_chunks_mut::<N>();
            samples.iter_mut().map(&one).fold(NonFinite::default(), NonFinite::plus)
        })
        .reduce(NonFinite::default, NonFinite::plus)
}

fn replace_half(sample: &mut [u8; 2], order: ByteOrder) -> NonFinite {
    const EXPONENT: u16 = 0x7c00;
    let bits = order.u16_from(*sample);
    if bits & EXPONENT != EXPONENT {
        return NonFinite::default();
    }
    let value = f16::from_bits(bits).to_f32();
    *sample = order.bytes_of_u16(f16::from_f32(finite(value)).to_bits());
    NonFinite::of(value)
}

fn replace_float(sample: &mut [u8; 4], order: ByteOrder) -> NonFinite {
    let value = f32::from_bits(order.u32_from(*sample));
    if value.is_finite() {
        return NonFinite::default();
    }
    *sample = order.bytes_of_u32(finite(value).to_bits());
    NonFinite::of(value)
}

/// The finite stand-in of a value that is not finite.
fn finite(value: f32) -> f32 {
    if value.is_nan() { 0.0 } else { f16::MAX.to_f32().copysign(value) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Channels, Layout, Range, Size};

    #[test]
    fn counts_and_replaces() {
        let pixels = [[f32::NAN, 1.0, f32::INFINITY, 1.0], [f32::NEG_INFINITY, -2.0, 0.5, f32::NAN]];
        for samples in [Samples::Half, Samples::Float] {
            for order in [ByteOrder::Little, ByteOrder::Big] {
                let layout = Layout::new(Channels::Rgba, samples, order);
                let mut frame = Frame::from_pixels(&pixels, Size::new(2, 1), layout, Range::Full);
                let found = frame.replace_non_finite();
                // The second pixel's NaN alpha is left out of the multiplication, so it counts once.
                assert_eq!(found, NonFinite { nan: 2, infinite: 2 }, "{layout}");
                let clean = frame.to_pixels(Range::Full);
                assert_eq!(clean[0], [0.0, 1.0, 65504.0, 1.0]);
                assert_eq!(clean[1], [-65504.0, -2.0, 0.5, 0.0]);
                assert!(frame.replace_non_finite().is_none());
            }
        }
    }
}
