//! The tone scale of ACES 2: scene light of a grey to nits on a display of a given peak, and back.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.Tonescale.

use super::appearance::REFERENCE_NITS;

/// Slope of the curve about its middle.
const CONTRAST: f64 = 1.15;
/// How much the toe lifts and bends the shadows.
const TOE: f64 = 0.04;
/// Scene light of the grey card, and what it becomes on a display of 100 nits.
const GREY: f64 = 0.18;
const GREY_NITS: f64 = 10.013;
/// How much brighter the grey card is for each doubling of the peak.
const GREY_GAIN: f64 = 0.14;
/// Scene light that reaches the peak, of a display of 100 nits and of one of 10000.
const HIT_LEAST: f64 = 128.0;
const HIT_MOST: f64 = 896.0;

/// The curve for one peak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ToneScale {
    /// Peak of the display, in nits.
    pub peak_nits: f64,
    /// Where the curve would level out, 1.0 standing for 100 nits.
    pub ceiling: f64,
    /// Nits of scene light (100 for scene 1.0) at which the curve bends over.
    pub bend_nits: f64,
    /// Exponent of the curve.
    pub contrast: f64,
    /// Toe of the curve.
    pub toe: f64,
    /// Nits that the tone scale's middle, scene 0.18, is built to reach.
    pub middle_nits: f64,
    /// Scene light beyond which nothing changes; the transform cuts its input there.
    pub most_scene: f64,
    /// The most that the curve's inverse takes, 1.0 standing for 100 nits.
    pub most_display: f64,
    /// Peak over 100 nits, in decades.
    pub decades: f64,
}

impl ToneScale {
    /// The curve for a display of this peak.
    pub fn new(peak_nits: f64) -> ToneScale {
        let before_toe = |light: f64| 0.5 * (light + (light * (light + 4.0 * TOE)).sqrt());
        let peak = peak_nits / REFERENCE_NITS;
        let hit = HIT_LEAST + (HIT_MOST - HIT_LEAST) * peak.ln() / 100_f64.ln();
        let top = before_toe(peak);
        let share = hit / top;
        let roof = top / (share / (share + 1.0)).powf(CONTRAST);
        let middle = GREY_NITS / REFERENCE_NITS * (1.0 + GREY_GAIN * peak.log2());
        let rise = (before_toe(middle) / roof).powf(1.0 / CONTRAST);
        let bend = GREY * (1.0 - rise) / rise;
        let used = (share / (share + bend / top)).powf(CONTRAST);
        ToneScale {
            peak_nits,
            ceiling: top / used,
            bend_nits: bend * REFERENCE_NITS,
            contrast: CONTRAST,
            toe: TOE,
            middle_nits: middle * REFERENCE_NITS,
            most_scene: 8.0 * hit,
            most_display: peak / used,
            decades: peak.log10(),
        }
    }

    /// Nits on the display of scene nits (100 for scene 1.0), 0 or more.
    pub fn nits_from_scene(&self, scene_nits: f64) -> f64 {
        let light = scene_nits.max(0.0);
        let f = self.ceiling * (light / (light + self.bend_nits)).powf(self.contrast);
        f * f / (f + self.toe) * REFERENCE_NITS
    }

    /// Scene nits (100 for scene 1.0) of nits on the display: the inverse, cut off where the curve is nearly level.
    pub fn scene_from_nits(&self, nits: f64) -> f64 {
        let light = (nits / REFERENCE_NITS).clamp(0.0, self.most_display);
        let f = 0.5 * (light + (light * (light + 4.0 * self.toe)).sqrt());
        self.bend_nits / ((self.ceiling / f).powf(1.0 / self.contrast) - 1.0)
    }
}
