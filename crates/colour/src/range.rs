//! Between signals and integer code values: full and legal (narrow, video) range.
//!
//! Range and bit depth belong to a file's edge; a signal is 0 at black and 1 at nominal white in either range.

use serde::{Deserialize, Serialize};

/// How codes span the signal.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum CodeRange {
    /// 0 to 2^n - 1.
    Full,
    /// 16 to 235 times 2^(n-8) for RGB and luma, 16 to 240 for colour difference.
    Legal,
}

/// (scale, offset) of RGB and luma: code = scale x signal + offset, before rounding. `bits` is 8 to 16.
///
/// # Source
/// Rec. ITU-R BT.709-6, item 4.6 and BT.2100-2, table 9.
pub fn scale_and_offset(bits: u32, range: CodeRange) -> (f64, f64) {
    match range {
        CodeRange::Full => (f64::from(largest_code(bits)), 0.0),
        CodeRange::Legal => (219.0 * step(bits), 16.0 * step(bits)),
    }
}

/// (scale, offset) of colour difference, whose signal runs from -0.5 to +0.5.
///
/// # Source
/// Rec. ITU-R BT.709-6, item 4.6 and BT.2100-2, table 9.
pub fn chroma_scale_and_offset(bits: u32, range: CodeRange) -> (f64, f64) {
    match range {
        CodeRange::Full => (f64::from(largest_code(bits)), 128.0 * step(bits)),
        CodeRange::Legal => (224.0 * step(bits), 128.0 * step(bits)),
    }
}

/// The code of an RGB or luma signal: rounded half up and held to 0..2^n - 1. A NaN gives 0.
pub fn code_from_signal(bits: u32, range: CodeRange, signal: f64) -> u32 {
    quantise(bits, scale_and_offset(bits, range), signal)
}

/// The signal of an RGB or luma code.
pub fn signal_from_code(bits: u32, range: CodeRange, code: u32) -> f64 {
    let (scale, offset) = scale_and_offset(bits, range);
    (f64::from(code) - offset) / scale
}

/// The code of a colour difference signal (-0.5..0.5): rounded half up and held to 0..2^n - 1.
pub fn chroma_code_from_signal(bits: u32, range: CodeRange, signal: f64) -> u32 {
    quantise(bits, chroma_scale_and_offset(bits, range), signal)
}

/// The colour difference signal of a code.
pub fn chroma_signal_from_code(bits: u32, range: CodeRange, code: u32) -> f64 {
    let (scale, offset) = chroma_scale_and_offset(bits, range);
    (f64::from(code) - offset) / scale
}

/// The largest code of a bit depth, 2^n - 1. `bits` is held to 1..=32.
pub fn largest_code(bits: u32) -> u32 {
    u32::MAX >> (32 - bits.clamp(1, 32))
}

/// The lowest and highest code that may carry video; the others are timing references on a serial interface.
///
/// # Source
/// Rec. ITU-R BT.709-6, item 4.8.
pub fn video_data_codes(bits: u32) -> (u32, u32) {
    let low = 1u32 << bits.clamp(8, 31).saturating_sub(8);
    (low, largest_code(bits) - low)
}

/// The lowest and highest code of RGB within tolerance: -5 % to 105 % of the legal range.
///
/// # Source
/// EBU R 103 v3.0 (2020) for 8 and 10 bits; other depths are the 10-bit limits times 2^(n-10), from memory.
pub fn r103_codes(bits: u32) -> (u32, u32) {
    match bits {
        ..=8 => (5, 246),
        9 => (10, 492),
        _ => {
            let shift = bits.min(26) - 10;
            (20 << shift, 984 << shift)
        }
    }
}

fn step(bits: u32) -> f64 {
    f64::from(bits).exp2() / 256.0
}

fn quantise(bits: u32, (scale, offset): (f64, f64), signal: f64) -> u32 {
    let code = (signal * scale + offset + 0.5).floor();
    // A float-to-integer cast holds to the type's range and turns NaN into 0.
    (code.max(0.0) as u32).min(largest_code(bits))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn codes_survive_the_round_trip(bits in 8u32..=16, share in 0.0f64..1.0, legal: bool) {
            let range = if legal { CodeRange::Legal } else { CodeRange::Full };
            let code = (share * f64::from(largest_code(bits))) as u32;
            prop_assert_eq!(code_from_signal(bits, range, signal_from_code(bits, range, code)), code);
            prop_assert_eq!(chroma_code_from_signal(bits, range, chroma_signal_from_code(bits, range, code)), code);
        }
    }

    #[test]
    fn hostile_signals_stay_in_range() {
        for signal in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300] {
            assert!(code_from_signal(10, CodeRange::Legal, signal) <= 1023);
        }
        assert_eq!(code_from_signal(10, CodeRange::Full, f64::INFINITY), 1023);
        assert_eq!(largest_code(16), 65535);
        assert_eq!(largest_code(32), u32::MAX);
    }
}
