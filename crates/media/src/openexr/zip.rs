//! ZIP compression of a block.
//!
//! Halves of pictures with grain repeat nowhere, so that a search for what was there before finds next to nothing and takes
//! most of the time. Runs of one value and the frequencies of the rest (Huffman codes) make as small a file in less than
//! half of it. Blocks without grain are told by what runs alone make of them, and searched too. Single floats always are:
//! what they hold beyond halves has no frequencies to speak of, and repeats where colours do.
//!
//! # Source
//! `OpenEXR` file layout, ZIP compression: the bytes at even places before those at odd ones, each byte as its
//! difference from the one before it plus 128, then zlib.

use frame::Samples;
use zlib_rs::{DeflateConfig, ReturnCode, Strategy, compress_slice};

/// Beyond this level a search finds hardly more and takes twice the time.
const LEVEL: i32 = 4;

/// What a file holds of a block's bytes: compressed, or as they are where that is no gain.
pub(super) fn zip(plain: Vec<u8>, samples: Samples) -> Vec<u8> {
    let differences = differences(&plain);
    let mut runs = if samples == Samples::Half { deflated(&differences, Strategy::Rle) } else { None };
    // Grain leaves more than two fifths.
    if let Some(runs) = runs.take_if(|runs| runs.len() * 5 > plain.len() * 2) {
        return runs;
    }
    let searched = deflated(&differences, Strategy::Default);
    [runs, searched].into_iter().flatten().min_by_key(Vec::len).unwrap_or(plain)
}

/// A zlib stream of the bytes; none where it is no shorter than they are.
fn deflated(bytes: &[u8], strategy: Strategy) -> Option<Vec<u8>> {
    let mut packed = vec![0; bytes.len().saturating_sub(1)];
    let config = DeflateConfig { level: LEVEL, strategy, ..DeflateConfig::default() };
    let (written, ReturnCode::Ok) = compress_slice(&mut packed, bytes, config) else { return None };
    let len = written.len();
    packed.truncate(len);
    Some(packed)
}

fn differences(plain: &[u8]) -> Vec<u8> {
    let (pairs, last) = plain.as_chunks::<2>();
    let mut parted = vec![0; plain.len()];
    let (even, odd) = parted.split_at_mut(plain.len().div_ceil(2));
    for ((even, odd), pair) in even.iter_mut().zip(odd).zip(pairs) {
        (*even, *odd) = (pair[0], pair[1]);
    }
    if let (Some(even), [last]) = (even.last_mut(), last) {
        *even = *last;
    }
    // The first byte stays as it is.
    let mut before = 128_u8;
    for byte in &mut parted {
        let now = *byte;
        *byte = now.wrapping_sub(before).wrapping_add(128);
        before = now;
    }
    parted
}

#[cfg(test)]
mod tests {
    use std::io::Read;

    use super::*;

    /// Worked by hand from the file layout: 10 30 50 20 40 after parting.
    #[test]
    fn bytes_are_parted_and_become_differences() {
        assert_eq!(differences(&[10, 20, 30, 40, 50]), [10, 148, 148, 98, 148]);
        assert_eq!(differences(&[]), [0; 0]);
        assert_eq!(differences(&[7]), [7]);
    }

    /// Bytes that no run and no search makes shorter: a congruential sequence's upper ones.
    fn noise() -> impl Iterator<Item = u8> {
        std::iter::successors(Some(1_u32), |x| Some(x.wrapping_mul(1_664_525).wrapping_add(1_013_904_223)))
            .map(|x| (x >> 24) as u8)
    }

    /// What a reader makes of it.
    fn inflated(packed: &[u8]) -> Vec<u8> {
        let mut bytes = Vec::new();
        flate2::read::ZlibDecoder::new(packed).read_to_end(&mut bytes).unwrap();
        bytes
    }

    #[test]
    fn what_does_not_compress_stays_as_it_is() {
        let noise: Vec<u8> = noise().take(5000).collect();
        for plain in [vec![], vec![1, 2, 3], noise] {
            assert_eq!(zip(plain.clone(), Samples::Half), plain);
            assert_eq!(zip(plain.clone(), Samples::Float), plain);
        }
    }

    #[test]
    fn flat_grainy_and_repeating_blocks_come_back() {
        let len = |plain: &[u8], samples| zip(plain.to_vec(), samples).len();
        let flat = vec![0; 1000];
        assert!(len(&flat, Samples::Half) < 50);
        // What is not searched is no longer than what is, by two in a hundred.
        let grainy: Vec<u8> = noise().take(50_000).map(|byte| byte & 7).collect();
        assert!(len(&grainy, Samples::Half) * 100 < len(&grainy, Samples::Float) * 102);
        // Lines of 250 samples, all the same: runs find little in them, a search all.
        let line: Vec<u8> = noise().take(250).flat_map(|byte| [byte & 3, 7]).collect();
        let repeating = line.repeat(16);
        assert!(len(&repeating, Samples::Half) * 10 < repeating.len());
        for plain in [flat, grainy, repeating] {
            assert_eq!(inflated(&zip(plain.clone(), Samples::Half)), differences(&plain));
        }
    }
}
