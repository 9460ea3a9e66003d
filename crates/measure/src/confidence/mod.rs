//! Confidence of a grey: how far the reading of a card may be off, and for what reason mostly.
//!
//! Five parts, each one standard deviation of the reading in mired, Duv and stops. The first three are covariances of mean light,
//! brought to figures by the slopes of these at the reading; parts add up as squares.
//!
//! * *noise*: what a plane through the card leaves, with covariance C over the channels; of the mean `C / n`, n the effective number of
//!   samples `N / (tx ty)`, `t = 1 + 2 sum r(d) (1 - d / size)` over the lags d in x and in y up to the first whose correlation r is no
//!   more than chance. Noise that neighbours share, as after demosaicing or scaling, makes fewer samples.
//! * *quantisation*: the mean of rounding errors, which noise makes fade: `q^2 sum exp(-4 pi^2 k^2 s^2) / (2 pi^2 k^2)`, k = 1, 2, ...,
//!   q a code step through the curve's slope at the card, s the spread in codes before rounding. A twelfth of q squared without noise.
//! * *gradient*: the covariance of nine sub-patches' mean light, less what noise makes of them, where it is three times as much and
//!   more. It is not divided by a number: where on the card is read is a choice, and the light on the subject differs as much.
//! * *card*: what the card itself may be off, declared ([`Tolerance`]).
//! * *flare*: a veil of the picture's mean colour over the card, as a declared share of its light.
//!
//! # Source
//! Rounding errors: B. Widrow and I. Kollár, Quantization Noise, 2008 (from memory). The variance of a mean of correlated samples:
//! textbook. Mired and Duv: CIE 15:2018.

mod patch;

use colour::locus::mired_from_kelvin;

use crate::Tap;
use crate::readings::Tristimulus;
use crate::verdict::distance::Divisors;
use patch::{Covariance, Patch};

/// How far a card's own reflectance may be off, one standard deviation.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tolerance {
    /// Of its 18 %, in stops.
    pub stops: f64,
    /// Of its neutral, in mired.
    pub mired: f64,
    /// Of its neutral, in Duv.
    pub duv: f64,
}

impl Default for Tolerance {
    /// A good card that is neither new nor old: 18 % within 0.6 %, neutral within what a trained eye sees.
    ///
    /// # Source
    /// Common practice, no source.
    fn default() -> Tolerance {
        Tolerance { stops: 0.05, mired: 2.0, duv: 0.0005 }
    }
}

/// The share of the card's light that a veil may be where nobody has measured it: that of a clean lens.
///
/// # Source
/// Common practice, no source.
pub const USUAL_FLARE: f64 = 0.01;

/// What is declared and cannot be measured on a card.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Declared {
    /// The card's tolerance.
    pub card: Tolerance,
    /// A veil, as a share of the card's light.
    pub flare: f64,
}

impl Default for Declared {
    fn default() -> Declared {
        Declared { card: Tolerance::default(), flare: USUAL_FLARE }
    }
}

/// One standard deviation of a reading.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Spread {
    /// In mired.
    pub mired: f64,
    /// In Duv.
    pub duv: f64,
    /// In stops.
    pub stops: f64,
}

/// Why a reading may be off.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Part {
    /// Noise, with its spatial correlation.
    Noise,
    /// Rounding to codes.
    Quantisation,
    /// Light that is uneven over the card.
    Gradient,
    /// The card's own tolerance.
    Card,
    /// A veil.
    Flare,
}

impl Part {
    /// One word.
    pub fn name(self) -> &'static str {
        match self {
            Part::Noise => "noise",
            Part::Quantisation => "quantisation",
            Part::Gradient => "gradient",
            Part::Card => "card",
            Part::Flare => "flare",
        }
    }
}

/// How sure a reading is.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Confidence {
    /// The reading's correlated colour temperature in kelvin.
    pub kelvin: f64,
    /// All parts together.
    pub total: Spread,
    /// Each by itself.
    pub parts: [(Part, Spread); 5],
    /// Pixels that were read.
    pub pixels: usize,
    /// What they are worth as independent samples.
    pub samples: f64,
}

impl Spread {
    /// The size in the units that distances are told in.
    pub fn size(&self) -> f64 {
        let by = Divisors::default();
        (self.mired / by.mired).hypot(self.duv / by.duv).hypot(self.stops / by.stops)
    }

    fn with(self, other: Spread) -> Spread {
        Spread {
            mired: self.mired.hypot(other.mired),
            duv: self.duv.hypot(other.duv),
            stops: self.stops.hypot(other.stops),
        }
    }
}

impl Confidence {
    /// The largest part, and whether it is more than half of the whole (of its square).
    pub fn largest(&self) -> (Part, bool) {
        let mut largest = (Part::Noise, Spread::default());
        for part in self.parts {
            if part.1.size() > largest.1.size() {
                largest = part;
            }
        }
        (largest.0, largest.1.size().powi(2) > 0.5 * self.total.size().powi(2))
    }
}

/// How sure the reading of a card is.
///
/// `pixels` are its signal at `tap` row by row, `width` in a row; what is not finite or far off is left out. `code` is one code in
/// signal, 0 for floats. `veil` is CIE XYZ of the picture's mean light, whose colour alone counts. None where there are too few
/// pixels, no light, or a colour that has no colour temperature.
pub fn confidence(
    tap: &Tap,
    pixels: &[[f64; 3]],
    width: usize,
    code: f64,
    veil: [f64; 3],
    declared: &Declared,
) -> Option<Confidence> {
    let patch = Patch::of(tap, pixels, width, code)?;
    let reading = Figures::of(tap, patch.mean)?;
    let slopes = Slopes::of(tap, patch.mean)?;
    let (noise, samples) = patch.noise();
    let rounding = patch.rounding();
    let gradient = patch.gradient(&noise, samples, &rounding);
    // A veil in the reading: what it would be without.
    let veil = tap.light_of_xyz(veil)?;
    let luminance = |light: [f64; 3]| tap.xyz(light)[1];
    let share = if luminance(veil) > 0.0 { declared.flare * luminance(patch.mean) / luminance(veil) } else { 0.0 };
    let without = Figures::of(tap, [0, 1, 2].map(|i| patch.mean[i] - share * veil[i]))?;
    let flare = Spread {
        mired: (reading.mired - without.mired).abs(),
        duv: (reading.duv - without.duv).abs(),
        stops: (reading.stops - without.stops).abs(),
    };
    let Tolerance { stops, mired, duv } = declared.card;
    let of_mean = noise.map(|row| row.map(|v| v / samples));
    let parts = [
        (Part::Noise, slopes.spread(&of_mean)),
        (Part::Quantisation, slopes.spread(&rounding)),
        (Part::Gradient, slopes.spread(&gradient)),
        (Part::Card, Spread { mired, duv, stops }),
        (Part::Flare, flare),
    ];
    let total = parts.iter().fold(Spread::default(), |all, (_, part)| all.with(*part));
    Some(Confidence { kelvin: 1e6 / reading.mired, total, parts, pixels: patch.count, samples })
}

/// What is read of light.
#[derive(Clone, Copy)]
struct Figures {
    mired: f64,
    duv: f64,
    stops: f64,
}

impl Figures {
    fn of(tap: &Tap, light: [f64; 3]) -> Option<Figures> {
        let xyz = tap.xyz(light);
        let (kelvin, duv) = Tristimulus { xyz, white_nits: None }.cct_duv()?;
        (xyz[1] > 0.0).then(|| Figures { mired: mired_from_kelvin(kelvin), duv, stops: xyz[1].log2() })
    }
}

/// By how much mired, Duv and stops change with the light of each channel.
struct Slopes([[f64; 3]; 3]);

impl Slopes {
    fn of(tap: &Tap, light: [f64; 3]) -> Option<Slopes> {
        let nudge = 1e-3 * light.iter().fold(0.0f64, |most, v| most.max(v.abs()));
        let slopes_of = |channel: usize| {
            let at = |by: f64| Figures::of(tap, [0, 1, 2].map(|i| light[i] + if i == channel { by } else { 0.0 }));
            let (above, below) = (at(nudge)?, at(-nudge)?);
            let slope = |of: fn(&Figures) -> f64| (of(&above) - of(&below)) / (2.0 * nudge);
            Some([slope(|of| of.mired), slope(|of| of.duv), slope(|of| of.stops)])
        };
        let channels = [slopes_of(0)?, slopes_of(1)?, slopes_of(2)?];
        let slopes = [0, 1, 2].map(|figure| channels.map(|of| of[figure]));
        Some(Slopes(slopes))
    }

    fn spread(&self, covariance: &Covariance) -> Spread {
        let [mired, duv, stops] = self.0.map(|slope| {
            let pairs = (0..3).flat_map(|i| (0..3).map(move |j| (i, j)));
            pairs.map(|(i, j)| slope[i] * covariance[i][j] * slope[j]).sum::<f64>().max(0.0).sqrt()
        });
        Spread { mired, duv, stops }
    }
}

#[cfg(test)]
mod tests;
