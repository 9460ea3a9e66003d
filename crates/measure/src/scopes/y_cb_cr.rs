//! Luma and colour difference of R'G'B': in floats, and in integers alone for integer codes.

use colour::{CodeRange, Primaries, primaries, range};

/// Fixed-point one of the luma weights: they sum to it, so that 16-bit codes fill 32 bits and no more.
const LUMA_ONE: u32 = 1 << 16;
/// Fixed-point one of the colour difference rows: half of a legal row and a 16-bit code stay below 31 bits.
const CHROMA_ONE: f64 = 32768.0;

/// The weights of luma, and with them the plane of colour difference.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct YCbCr {
    /// The name that is shown.
    pub name: &'static str,
    /// Red, green and blue in luma; they sum to 1.
    pub weights: [f64; 3],
}

/// Standard definition, 525 and 625 lines. Source: Rec. ITU-R BT.601-7, items 2.5.1 to 2.5.3.
pub const BT601: YCbCr = YCbCr { name: "BT.601", weights: [0.299, 0.587, 0.114] };
/// HDTV. Source: Rec. ITU-R BT.709-6, items 3.2 and 3.3.
pub const BT709: YCbCr = YCbCr { name: "BT.709", weights: [0.2126, 0.7152, 0.0722] };
/// UHDTV and HDR television, non-constant luminance. Source: Rec. ITU-R BT.2020-2, table 4; BT.2100-2, table 6.
pub const BT2020: YCbCr = YCbCr { name: "BT.2020", weights: [0.2627, 0.6780, 0.0593] };

impl YCbCr {
    /// All of them.
    pub const ALL: [YCbCr; 3] = [BT601, BT709, BT2020];

    /// The one of this name.
    pub fn named(name: &str) -> Option<YCbCr> {
        YCbCr::ALL.into_iter().find(|matrix| matrix.name.eq_ignore_ascii_case(name.trim()))
    }

    /// What a video interface uses for these primaries: BT.2020 for its own, BT.709 for every other
    /// (common practice, no source, for camera log and P3).
    pub fn of(space: &Primaries) -> YCbCr {
        if space.same_chromaticities(&primaries::BT2020) { BT2020 } else { BT709 }
    }

    /// Rows of Cb and Cr on R'G'B': `Cb = (B - Y) / (2 (1 - Kb))`, `Cr = (R - Y) / (2 (1 - Kr))`, each -0.5 to 0.5.
    pub fn rows(&self) -> [[f64; 3]; 2] {
        let [r, g, b] = self.weights;
        let (cb, cr) = (2.0 * (1.0 - b), 2.0 * (1.0 - r));
        [[-r / cb, -g / cb, 0.5], [0.5, -g / cr, -b / cr]]
    }

    /// (Cb, Cr) of R'G'B'.
    pub fn difference(&self, rgb: [f64; 3]) -> [f64; 2] {
        self.rows().map(|[r, g, b]| r * rgb[0] + g * rgb[1] + b * rgb[2])
    }

    /// Luma of R'G'B'.
    pub fn luma(&self, rgb: [f64; 3]) -> f64 {
        let [r, g, b] = self.weights;
        r * rgb[0] + g * rgb[1] + b * rgb[2]
    }
}

/// Luma of integer codes, of any depth to 16 bits and in their own range, by integer arithmetic alone:
/// `Y = (wr R + wg G + wb B + 2^15) >> 16` in 32 bits. Rounding of the weights costs less than half a 16-bit code.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CodeLuma {
    /// Weights that sum to 2^16.
    pub weights: [u32; 3],
}

impl CodeLuma {
    /// Weights that sum to 1, fixed.
    pub fn new(weights: [f64; 3]) -> CodeLuma {
        let [r, _, b] = weights.map(|w| (w * f64::from(LUMA_ONE)).round() as u32);
        CodeLuma { weights: [r, LUMA_ONE.saturating_sub(r).saturating_sub(b), b] }
    }

    /// Luma of codes, in code.
    pub fn luma(&self, rgb: [u16; 3]) -> u32 {
        let [r, g, b] = self.weights;
        let [red, green, blue] = rgb.map(u32::from);
        (r * red + g * green + b * blue + LUMA_ONE / 2) >> 16
    }
}

/// Cb and Cr of integer codes, in codes of their own scale, by integer arithmetic alone:
/// `C = 2^(n-1) + ((r R + g G + b B + 2^14) >> 15)` in signed 32 bits with an arithmetic shift, so rounded half up.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CodeDifference {
    /// Rows of Cb and Cr; each sums to 0, so that a neutral is exactly in the middle.
    pub rows: [[i32; 3]; 2],
    /// The code of no colour, 2^(n-1).
    pub middle: i32,
}

impl CodeDifference {
    /// The rows for codes of this depth (held to 8 to 16 bits) and range; legal colour difference spans 224 steps where R'G'B' spans 219.
    pub fn new(matrix: &YCbCr, bits: u32, codes: CodeRange) -> CodeDifference {
        let bits = bits.clamp(8, 16);
        let (chroma, middle) = range::chroma_scale_and_offset(bits, codes);
        let stretch = CHROMA_ONE * chroma / range::scale_and_offset(bits, codes).0;
        let rows = matrix.rows().map(|row| {
            let [r, _, b] = row.map(|v| (v * stretch).round() as i32);
            [r, -r - b, b]
        });
        CodeDifference { rows, middle: middle as i32 }
    }

    /// (Cb, Cr) in code. What leaves the depth is left as it is.
    pub fn difference(&self, rgb: [u16; 3]) -> [i32; 2] {
        let [red, green, blue] = rgb.map(i32::from);
        self.rows.map(|[r, g, b]| self.middle + ((r * red + g * green + b * blue + (1 << 14)) >> 15))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn integers_follow_the_formula(rgb in prop::array::uniform3(0u16..=u16::MAX), drop in 0u32..=8, legal: bool, which in 0usize..3) {
            let (bits, rgb) = (16 - drop, rgb.map(|code| code >> drop));
            let range = if legal { CodeRange::Legal } else { CodeRange::Full };
            let matrix = YCbCr::ALL[which];
            let signal = rgb.map(|code| range::signal_from_code(bits, range, u32::from(code)));
            // Half a step of rounding and what fixed weights add: three of half a part in 2^16, or in 2^15.
            let slack = 0.5 + 1.5 * f64::from(1 << bits) / f64::from(1 << 15) + 1e-9;
            let (scale, offset) = range::scale_and_offset(bits, range);
            let luma = matrix.luma(signal) * scale + offset;
            prop_assert!((f64::from(CodeLuma::new(matrix.weights).luma(rgb)) - luma).abs() < slack);
            let (scale, offset) = range::chroma_scale_and_offset(bits, range);
            let got = CodeDifference::new(&matrix, bits, range).difference(rgb);
            for (got, want) in got.into_iter().zip(matrix.difference(signal)) {
                prop_assert!((f64::from(got) - (want * scale + offset)).abs() < slack);
            }
        }

        #[test]
        fn a_neutral_is_its_own_luma_and_has_no_colour(code: u16, legal: bool) {
            let range = if legal { CodeRange::Legal } else { CodeRange::Full };
            for matrix in YCbCr::ALL {
                prop_assert_eq!(CodeLuma::new(matrix.weights).luma([code; 3]), u32::from(code));
                prop_assert_eq!(CodeDifference::new(&matrix, 16, range).difference([code; 3]), [32768; 2]);
            }
        }
    }

    #[test]
    fn the_plane_goes_by_the_primaries() {
        assert_eq!(YCbCr::of(&primaries::F_GAMUT), BT2020);
        assert_eq!(YCbCr::of(&primaries::P3_D65), BT709);
    }
}
