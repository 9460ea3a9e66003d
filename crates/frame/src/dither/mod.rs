//! Dither: noise of about a code, added before a value is rounded to one, so that smooth pictures do not break into
//! bands of equal codes.
//!
//! Rounding alone makes an error that follows the picture, and the eye sees it as edges. With triangular noise of two
//! codes' width added first, mean and variance of the whole error (noise and rounding) are the same for every value: 0
//! and 1/4 of a code squared. The noise is a function of place, channel and frame number alone, made of whole numbers,
//! so that the CPU and the GPU, whole frames and tiles, and every machine of a farm write the same.
//!
//! Black and white stay what they are. Within half a code of them, and of the lowest and the highest code, the
//! triangular noise would be cut off and shift the mean; noise of one code's width, flat, takes its place there, which
//! keeps the mean and comes to rest at black and white themselves. Within [`STILL`] of a code nothing is added. Alpha is
//! never dithered.
//!
//! # Source
//! S. P. Lipshitz, R. A. Wannamaker, J. Vanderkooy, "Quantization and Dither: A Theoretical Survey", Journal of the
//! Audio Engineering Society 40(5), 1992: triangular noise of two steps' width.

mod blue_noise;
mod triangular;

use crate::Range;

/// How near to black or white, in codes, a value is left without noise. Single float on the GPU is less than half of this
/// off in 16 bits.
const STILL: f64 = 1.0 / 64.0;

/// The kind of noise.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Dither {
    /// Every pixel for itself: white noise.
    Triangular,
    /// Neighbours that differ as much as they can: noise of high frequencies alone, which the eye sees least.
    BlueNoise,
}

impl Dither {
    /// `triangular` or `blue-noise`.
    pub const fn name(self) -> &'static str {
        match self {
            Dither::Triangular => "triangular",
            Dither::BlueNoise => "blue-noise",
        }
    }

    /// The table that the noise is looked up in on the GPU: none, or a number for each place of a square of 64 by 64, row
    /// after row: 4096 (2048 t + 2047.5) + 4096 f + 2047.5 of the triangular noise t and the flat noise f.
    pub fn table(self) -> Vec<f32> {
        match self {
            Dither::Triangular => Vec::new(),
            Dither::BlueNoise => blue_noise::table(),
        }
    }

    /// The noise of red, green and blue at column `x`, row `y` of frame `number`; its low 32 bits count.
    pub fn noise(self, x: u32, y: u32, number: i64) -> [Noise; 3] {
        let number = number as u32;
        match self {
            Dither::Triangular => triangular::noise(x, y, number),
            Dither::BlueNoise => blue_noise::noise(x, y, number),
        }
    }
}

/// The noise of one sample, in codes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Noise {
    /// Evenly spread between -1/2 and 1/2.
    pub flat: f64,
    /// Between -1 and 1, the rarer the farther from 0. Odd 4096ths, so that no sum with a whole code is a tie.
    pub triangular: f64,
}

/// What values are rounded to.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Codes {
    highest: f64,
    scale: f64,
    offset: f64,
    /// Codes that stay what they are: both ends, black and white.
    kept: [f64; 4],
}

impl Codes {
    pub(crate) fn new(range: Range, samples: crate::Samples) -> Codes {
        let highest = f64::from(samples.highest_code());
        let (scale, offset) = range.stored_from_signal(samples);
        let (scale, offset) = (scale * highest, offset * highest);
        Codes { highest, scale, offset, kept: [0.0, highest, offset, offset + scale] }
    }

    /// The nearest code, half up, clamped; NaN is 0.
    pub(crate) fn nearest(&self, signal: f32) -> u32 {
        // The cast takes NaN to 0; the sum is not negative, so that the cast is the floor.
        (f64::from(signal) * self.scale + self.offset + 0.5).clamp(0.0, self.highest + 0.5) as u32
    }

    /// One of the codes around a value, as the noise says; NaN is 0.
    pub(crate) fn dithered(&self, signal: f32, noise: Noise) -> u32 {
        let value = (f64::from(signal) * self.scale + self.offset).clamp(0.0, self.highest);
        let away = self.kept.iter().fold(f64::INFINITY, |away, kept| away.min((value - kept).abs()));
        let noise = match away {
            away if away < STILL => 0.0,
            away if away < 0.5 => noise.flat,
            _ => noise.triangular,
        };
        (value + noise + 0.5).clamp(0.0, self.highest + 0.5) as u32
    }
}
