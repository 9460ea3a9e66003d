//! Packed words to codes, one in each 16-bit word.

use frame::ByteOrder;
use rayon::prelude::*;

use super::element::{Element, Kind, Packing};
use super::lines::Lines;

/// Something to be done with the way that an element's samples lie in words.
pub(super) trait Use {
    type Outcome;

    /// `code` gives a sample by its index, counted from the beginning of the bytes it is given; what they lack
    /// is read as zero.
    fn with(self, code: impl Fn(&[u8], usize) -> u16 + Sync) -> Self::Outcome;
}

/// Does what `user` does with the samples of `element`, each way of packing compiled by itself.
pub(super) fn with_code<U: Use>(element: &Element, user: U) -> U::Outcome {
    let (order, kind) = (element.order, element.kind);
    match (element.bits, element.packing) {
        // In common use, bytes follow the order of the samples in files of both byte orders.
        (8, _) => user.with(|line, i| u16::from(line.get(i).copied().unwrap_or(0))),
        (12, Packing::MethodA) => user.with(|line, i| short(line, i, order) >> 4),
        (12, Packing::MethodB) => user.with(|line, i| short(line, i, order) & 0xfff),
        (10, Packing::MethodA) => user.with(|line, i| filled(line, i, order, kind, 2)),
        (10, Packing::MethodB) => user.with(|line, i| filled(line, i, order, kind, 0)),
        (10, Packing::Packed) => user.with(|line, i| across_words::<10>(line, i, order)),
        (12, Packing::Packed) => user.with(|line, i| across_words::<12>(line, i, order)),
        _ => user.with(|line, i| short(line, i, order)),
    }
}

/// The element's codes as native 16-bit samples, pixel after pixel: luma becomes RGB, ABGR becomes RGBA.
/// `bytes` begins with the first sample; what it lacks is read as zero.
pub(super) fn codes(element: &Element, lines: &Lines, bytes: &[u8]) -> Vec<u8> {
    with_code(element, Rows { element, lines, bytes })
}

/// Gathers every sample, lines in parallel.
struct Rows<'a> {
    element: &'a Element,
    lines: &'a Lines,
    bytes: &'a [u8],
}

impl Use for Rows<'_> {
    type Outcome = Vec<u8>;

    fn with(self, code: impl Fn(&[u8], usize) -> u16 + Sync) -> Vec<u8> {
        let Rows { element, lines, bytes } = self;
        let per_line = element.samples_per_line();
        let (count, sources) = (element.kind.count(), element.kind.sources());
        let row = element.stored.width as usize * sources.len() * 2;
        let mut out = vec![0; row * element.stored.height as usize];
        out.par_chunks_mut(row).enumerate().for_each(|(y, out)| {
            let (line, first) = match lines.stride {
                Some(stride) => (bytes.get(y * stride as usize..).unwrap_or_default(), 0),
                None => (bytes, y * per_line),
            };
            for (x, pixel) in out.chunks_exact_mut(sources.len() * 2).enumerate() {
                for (sample, source) in pixel.as_chunks_mut::<2>().0.iter_mut().zip(sources) {
                    *sample = code(line, first + x * count + source).to_ne_bytes();
                }
            }
        });
        out
    }
}

/// 10 bits, three to a word, the first at the top, above `padding` low bits. Luma alone counts from the low
/// end in the files that exist.
fn filled(line: &[u8], i: usize, order: ByteOrder, kind: Kind, padding: u32) -> u16 {
    let place = if kind == Kind::Luma { i % 3 } else { 2 - i % 3 } as u32;
    (word(line, i / 3, order) >> (10 * place + padding) & 0x3ff) as u16
}

/// Sample `i` of those that follow one another from the lowest bit of the first word up.
fn across_words<const BITS: usize>(line: &[u8], i: usize, order: ByteOrder) -> u16 {
    let bit = i * BITS;
    let pair = u64::from(word(line, bit / 32, order)) | u64::from(word(line, bit / 32 + 1, order)) << 32;
    (pair >> (bit % 32)) as u16 & ((1 << BITS) - 1)
}

fn word(line: &[u8], index: usize, order: ByteOrder) -> u32 {
    let bytes = line.get(4 * index..).and_then(|rest| rest.first_chunk::<4>()).copied().unwrap_or_default();
    match order {
        ByteOrder::Big => u32::from_be_bytes(bytes),
        ByteOrder::Little => u32::from_le_bytes(bytes),
    }
}

fn short(line: &[u8], index: usize, order: ByteOrder) -> u16 {
    let bytes = line.get(2 * index..).and_then(|rest| rest.first_chunk::<2>()).copied().unwrap_or_default();
    match order {
        ByteOrder::Big => u16::from_be_bytes(bytes),
        ByteOrder::Little => u16::from_le_bytes(bytes),
    }
}
