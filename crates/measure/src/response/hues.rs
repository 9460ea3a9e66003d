//! Hues: where the colours of a pattern lie before and after a candidate.

use std::sync::LazyLock;

use ops::Display;

use super::Candidate;
use crate::Tap;
use crate::readings::Tristimulus;

/// What the colours of patterns are: R'G'B' of a BT.1886 display. As light of a scene, its white is a perfect reflector.
static PATTERN: LazyLock<Tap> = LazyLock::new(|| Tap::new(Display::Bt1886.signal(100.0, 0.0)));

/// A colour that was sent through a candidate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Hue {
    /// CIE 1976 (u', v') of what entered; none for black.
    pub from: Option<[f64; 2]>,
    /// The numbers that left.
    pub out: [f64; 3],
    /// CIE 1976 (u', v') of what left, before a display clips it; none for black.
    pub to: Option<[f64; 2]>,
}

/// The numbers by which an original holds the light of a pattern's colour.
pub fn held(original: &Tap, pattern: [f64; 3]) -> [f64; 3] {
    let light = original.light_of_xyz(PATTERN.xyz(PATTERN.light(pattern)));
    light.map_or(pattern, |light| original.signal_of_light(light))
}

/// Sends a colour of a pattern through a candidate, as the original would hold its light.
pub fn hue<F: Fn([f64; 3]) -> [f64; 3]>(candidate: &Candidate<F>, pattern: [f64; 3]) -> Hue {
    let result = candidate.result();
    let xyz = PATTERN.xyz(PATTERN.light(pattern));
    let out = candidate.pixel(held(candidate.original(), pattern));
    let chromaticity = |xyz: [f64; 3]| Tristimulus { xyz, white_nits: None }.uv1976();
    Hue { from: chromaticity(xyz), out, to: chromaticity(result.xyz(result.light(out))) }
}
