//! Chroma compression of ACES 2: colourfulness follows lightness through the tone scale, rises in the shadows of
//! saturated colours and rolls off towards white.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use super::appearance::Jmh;
use super::tone_scale::ToneScale;

const COMPRESSION: f64 = 2.4;
const COMPRESSION_PER_DECADE: f64 = 3.3;
const EXPANSION: f64 = 1.3;
const EXPANSION_PER_DECADE: f64 = 0.69;
const EXPANSION_LEAST: f64 = 0.2;
const EXPANSION_THRESHOLD: f64 = 0.5;
/// The colourfulness of the widest gamut's cusps over hue: a constant, three cosines and three sines.
const NORM_MEAN: f64 = 77.12896;
const NORM_COSINES: [f64; 3] = [11.34072, 16.46899, 7.88380];
const NORM_SINES: [f64; 3] = [14.66441, -6.37224, 9.19364];

/// What the compression needs to know of one colour beside the colour.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Reach {
    /// Colourfulness at the hue that AP1 reaches at the lightness of the peak.
    pub most_m: f64,
    /// Lightness of the peak.
    pub most_j: f64,
    /// The exponent of colourfulness over lightness.
    pub exponent: f64,
}

/// The compression for one peak.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ChromaCompression {
    /// How strongly saturated shadows gain.
    pub expansion: f64,
    /// Lightness near black below which they gain less, so that noise does not.
    pub threshold: f64,
    /// How strongly colours roll off towards white.
    pub compression: f64,
    /// Scale of the cusps' colourfulness.
    pub norm_scale: f64,
}

impl ChromaCompression {
    /// The compression for the peak of a tone scale.
    pub fn new(tone_scale: &ToneScale) -> ChromaCompression {
        let decades = tone_scale.decades;
        ChromaCompression {
            expansion: (EXPANSION - EXPANSION * EXPANSION_PER_DECADE * decades).max(EXPANSION_LEAST),
            threshold: EXPANSION_THRESHOLD / tone_scale.peak_nits,
            compression: COMPRESSION + COMPRESSION * COMPRESSION_PER_DECADE * decades,
            norm_scale: (0.03379 * tone_scale.peak_nits).powf(0.30596) - 0.45135,
        }
    }

    /// The colourfulness that colours of a hue in degrees are measured by.
    pub fn norm(&self, hue: f64) -> f64 {
        let angle = hue.to_radians();
        let wave = |order: f64, cosine: f64, sine: f64| {
            let (s, c) = (order * angle).sin_cos();
            cosine * c + sine * s
        };
        let ([c1, c2, c3], [s1, s2, s3]) = (NORM_COSINES, NORM_SINES);
        self.norm_scale * (NORM_MEAN + wave(1.0, c1, s1) + wave(2.0, c2, s2) + wave(3.0, c3, s3))
    }

    /// A colour whose lightness became `toned_j`.
    pub fn compressed(&self, colour: Jmh, toned_j: f64, reach: &Reach) -> Jmh {
        if colour.m == 0.0 {
            return Jmh { j: toned_j, ..colour };
        }
        let norm = self.norm(colour.hue);
        let (j, rest, limit) = measures(toned_j, norm, reach);
        let followed = colour.m * (toned_j / colour.j).powf(reach.exponent) / norm;
        let expanded =
            limit - toe(limit - followed, limit - 0.001, rest * self.expansion, j.hypot(self.threshold.sqrt()));
        let m = norm * toe(expanded, limit, j * self.compression, rest);
        Jmh { j: toned_j, m, hue: colour.hue }
    }

    /// The colour of lightness `scene_j` that [`ChromaCompression::compressed`] brings to this one.
    pub fn scene(&self, colour: Jmh, scene_j: f64, reach: &Reach) -> Jmh {
        if colour.m == 0.0 {
            return Jmh { j: scene_j, ..colour };
        }
        let norm = self.norm(colour.hue);
        let (j, rest, limit) = measures(colour.j, norm, reach);
        let expanded = toe_inverse(colour.m / norm, limit, j * self.compression, rest);
        let strength = rest * self.expansion;
        let followed = limit - toe_inverse(limit - expanded, limit - 0.001, strength, j.hypot(self.threshold.sqrt()));
        let m = norm * followed * (colour.j / scene_j).powf(-reach.exponent);
        Jmh { j: scene_j, m, hue: colour.hue }
    }
}

/// Lightness as a share of the peak's, what is left of it, and the most colourfulness there, measured by the norm.
fn measures(toned_j: f64, norm: f64, reach: &Reach) -> (f64, f64, f64) {
    let j = toned_j / reach.most_j;
    (j, (1.0 - j).max(0.0), j.powf(reach.exponent) * reach.most_m / norm)
}

/// A curve from 0 to `limit` that presses small values down; identity above.
fn toe(x: f64, limit: f64, k1: f64, k2: f64) -> f64 {
    if x > limit {
        return x;
    }
    let (k1, k2, k3) = toe_constants(limit, k1, k2);
    let b = k3 * x - k1;
    0.5 * (b + (b * b + 4.0 * k2 * k3 * x).sqrt())
}

fn toe_inverse(x: f64, limit: f64, k1: f64, k2: f64) -> f64 {
    if x > limit {
        return x;
    }
    let (k1, k2, k3) = toe_constants(limit, k1, k2);
    // Below zero lie colours that nothing in AP1 is rendered as. Beyond the pole at -k2 the formula would turn round.
    let x = x.max(-0.9 * k2);
    (x * x + k1 * x) / (k3 * (x + k2))
}

fn toe_constants(limit: f64, k1: f64, k2: f64) -> (f64, f64, f64) {
    let k2 = k2.max(0.001);
    let k1 = k1.hypot(k2);
    (k1, k2, (limit + k1) / (limit + k2))
}
