//! 16-bit samples on their way between a library and a frame: order, grey and alpha.

use std::borrow::Cow;

use frame::{ByteOrder, Frame, Samples};
use half::f16;
use rayon::prelude::*;

/// Bytes a thread takes at a time; a multiple of every sample and of a pixel of 8 bytes.
const CHUNK: usize = 1 << 16;

/// One grey sample of `N` bytes a pixel to three equal ones.
pub(crate) fn rgb_from_grey<const N: usize>(grey: &[u8]) -> Vec<u8> {
    grey.as_chunks::<N>().0.iter().flat_map(|sample| [*sample; 3]).flatten().collect()
}

/// Grey and alpha to red, green, blue and alpha, 16 bits each.
pub(crate) fn rgba_from_grey_alpha(bytes: &[u8]) -> Vec<u8> {
    bytes.as_chunks::<4>().0.iter().flat_map(|&[g0, g1, a0, a1]| [g0, g1, g0, g1, g0, g1, a0, a1]).collect()
}

/// 8-bit codes, each in the low byte of a native 16-bit word.
pub(crate) fn widened(codes: &[u8]) -> Vec<u8> {
    codes.iter().flat_map(|&code| u16::from(code).to_ne_bytes()).collect()
}

/// The low byte of each 16-bit word: the inverse of [`widened`] for any byte order.
pub(crate) fn narrowed(words: &[u8], order: ByteOrder) -> Vec<u8> {
    let low = usize::from(order == ByteOrder::Big);
    words.as_chunks::<2>().0.iter().map(|word| word[low]).collect()
}

/// Multiplies red, green and blue by alpha, in place: files whose alpha is not associated become frames.
/// `highest` is the code of 1.
pub(crate) fn associate(bytes: &mut [u8], order: ByteOrder, highest: u16) {
    let one = u64::from(highest);
    each_pixel(bytes, order, highest, |colour, alpha| {
        // Half up; 255 and 65535 are odd, so there are no ties.
        (u64::from(colour) * u64::from(alpha) * 2 + one) / (2 * one)
    });
}

/// The inverse of [`associate`] as far as integers allow; colour under alpha 0 is left as it is.
pub(crate) fn dissociate(bytes: &mut [u8], order: ByteOrder, highest: u16) {
    each_pixel(bytes, order, highest, |colour, alpha| match u64::from(alpha) {
        0 => u64::from(colour),
        alpha => (u64::from(colour) * u64::from(highest) * 2 + alpha) / (2 * alpha),
    });
}

fn each_pixel(bytes: &mut [u8], order: ByteOrder, highest: u16, one: impl Fn(u16, u16) -> u64 + Sync) {
    let load = |sample: &[u8; 2]| match order {
        ByteOrder::Little => u16::from_le_bytes(*sample),
        ByteOrder::Big => u16::from_be_bytes(*sample),
    };
    bytes.par_chunks_mut(CHUNK).for_each(|chunk| {
        for pixel in chunk.as_chunks_mut::<8>().0 {
            let (samples, _) = pixel.as_chunks_mut::<2>();
            let alpha = load(&samples[3]);
            if alpha == highest {
                continue;
            }
            for sample in &mut samples[..3] {
                let value = u16::try_from(one(load(sample), alpha)).unwrap_or(highest).min(highest);
                *sample = match order {
                    ByteOrder::Little => value.to_le_bytes(),
                    ByteOrder::Big => value.to_be_bytes(),
                };
            }
        }
    });
}

/// [`associate`] for native halves or single floats, four to a pixel.
pub(crate) fn associate_floats(bytes: &mut [u8], samples: Samples) {
    if samples == Samples::Half {
        for pixel in bytes.as_chunks_mut::<8>().0 {
            let (samples, _) = pixel.as_chunks_mut::<2>();
            let alpha = f16::from_ne_bytes(samples[3]).to_f32();
            for sample in &mut samples[..3] {
                *sample = f16::from_f32(f16::from_ne_bytes(*sample).to_f32() * alpha).to_ne_bytes();
            }
        }
    } else {
        for pixel in bytes.as_chunks_mut::<16>().0 {
            let (samples, _) = pixel.as_chunks_mut::<4>();
            let alpha = f32::from_ne_bytes(samples[3]);
            for sample in &mut samples[..3] {
                *sample = (f32::from_ne_bytes(*sample) * alpha).to_ne_bytes();
            }
        }
    }
}

/// A frame's bytes with samples of `N` bytes in the order asked for; borrowed where they are so already.
pub(crate) fn in_order<const N: usize>(frame: &Frame, order: ByteOrder) -> Cow<'_, [u8]> {
    if frame.layout().order == order {
        return Cow::Borrowed(frame.bytes());
    }
    let mut bytes = frame.bytes().to_vec();
    bytes.par_chunks_mut(CHUNK).for_each(|chunk| {
        for sample in chunk.as_chunks_mut::<N>().0 {
            sample.reverse();
        }
    });
    Cow::Owned(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn eight_bits_in_sixteen() {
        let codes: Vec<u8> = (0..=255).collect();
        let words = widened(&codes);
        assert_eq!(narrowed(&words, crate::format::NATIVE), codes);
        // 128 of 255 at half alpha: 64.25 becomes 64; a full alpha changes nothing.
        let mut pixels = widened(&[128, 255, 0, 128, 7, 8, 9, 255]);
        associate(&mut pixels, crate::format::NATIVE, 255);
        assert_eq!(narrowed(&pixels, crate::format::NATIVE), [64, 128, 0, 128, 7, 8, 9, 255]);
    }

    #[test]
    fn grey_becomes_rgb() {
        assert_eq!(rgb_from_grey::<2>(&[1, 2, 3, 4]), [1, 2, 1, 2, 1, 2, 3, 4, 3, 4, 3, 4]);
        assert_eq!(rgba_from_grey_alpha(&[1, 2, 9, 8]), [1, 2, 1, 2, 1, 2, 9, 8]);
    }

    proptest! {
        #[test]
        fn colour_comes_back_within_what_alpha_leaves(
            colour in any::<u16>(), alpha in 1_u16.., big in any::<bool>(),
        ) {
            let order = if big { ByteOrder::Big } else { ByteOrder::Little };
            let pack = |v: u16| if big { v.to_be_bytes() } else { v.to_le_bytes() };
            let pixel = [pack(colour), pack(0), pack(u16::MAX), pack(alpha)].concat();
            let mut bytes = pixel.clone();
            associate(&mut bytes, order, u16::MAX);
            dissociate(&mut bytes, order, u16::MAX);
            let back = if big { [bytes[0], bytes[1]] } else { [bytes[1], bytes[0]] };
            let error = i64::from(u16::from_be_bytes(back)) - i64::from(colour);
            // Half a step of the product, spread over alpha, and half a step of the answer.
            let tolerance = 0.5 * 65535.0 / f64::from(alpha) + 0.5;
            prop_assert!((error as f64).abs() <= tolerance, "{}", error);
            prop_assert_eq!(&bytes[2..8], &pixel[2..8]);
        }
    }
}
