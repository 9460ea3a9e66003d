//! Black drift: what becomes of no light at all, and how tinted dark neutrals are.
//!
//! Scene zero, with the flare that is known, goes through the candidate; its signed red, green and blue in 10-bit codes are told
//! before any clamp, since a clamp leaves the channels that went up and hides those that went down. A rendering that cuts light
//! below zero by itself hides them all the same: methods are compared with `rendering=plain`.
//!
//! Places that are known to be neutral, four to six stops below the card, are told by the mean a* and b* of their pixels with
//! two standard errors of that mean, taken as if pixels' noise were independent.

use super::{Grey, TEN_BIT, of_scene};
use crate::Tap;
use crate::readings::{Statistics, Tristimulus};
use crate::response::Candidate;

/// Signed 10-bit codes of scene zero in red, green and blue.
pub fn scene_zero(candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>, grey: Option<&Grey>) -> [f64; 3] {
    let zero = grey.map_or([0.0; 3], |grey| grey.flare);
    of_scene(candidate)(zero).map(|v| TEN_BIT * v)
}

/// The tint of a dark neutral.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tint {
    /// Mean CIE a* and b*.
    pub ab: [f64; 2],
    /// Two standard errors of each.
    pub two_sigma: [f64; 2],
    /// Pixels.
    pub pixels: usize,
}

/// Measures the shown pixels of a place that is known to be neutral. None of none.
pub fn tint(shown: &Tap, pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Tint> {
    let lab = |signal| Tristimulus { xyz: shown.xyz(shown.light(signal)), white_nits: None }.lab();
    let labs: Vec<[f64; 3]> = pixels.into_iter().map(lab).filter(|lab| lab.iter().all(|v| v.is_finite())).collect();
    let Statistics { mean: [_, a, b], sd: [_, sd_a, sd_b], .. } = Statistics::of(&labs)?;
    let error = |sd: f64| 2.0 * sd / (labs.len() as f64).sqrt();
    Some(Tint { ab: [a, b], two_sigma: [error(sd_a), error(sd_b)], pixels: labs.len() })
}

impl Tint {
    /// Whether the tint stands out of the noise.
    pub fn is_seen(&self) -> bool {
        self.ab.iter().zip(self.two_sigma).any(|(value, error)| value.abs() > error)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::testing::{in_scene, original, shown};
    use crate::verdict::{Grey, Known};

    #[test]
    fn black_is_told_before_the_clamp_and_with_its_veil() {
        let plain = in_scene(|rgb| rgb);
        let offset = |code: [f64; 3]| {
            let [r, g, b] = plain(code);
            [r - 0.1, g, b + 0.05]
        };
        let candidate = Candidate::new(original(), shown(), offset);
        let codes = scene_zero(&candidate, None);
        for (got, want) in codes.into_iter().zip([-102.3, 0.0, 51.15]) {
            // The inverse of LogC3 at 0, to the power of 1 / 2.4: an ulp of code is 1e-6 of signal there.
            assert!((got - want).abs() < 0.01, "{codes:?}");
        }
        let grey = Grey::of_card([0.18; 3], Known::Card).unwrap();
        let veiled = scene_zero(&candidate, Some(&Grey { flare: [0.01; 3], ..grey }));
        assert!((veiled[1] - TEN_BIT * 0.01f64.powf(1.0 / 2.4)).abs() < 1e-6, "{veiled:?}");
    }

    #[test]
    fn a_tint_is_seen_where_it_is_larger_than_its_error() {
        let noise = |i: i32| [0.1 + 0.01 * f64::from(i % 3 - 1), 0.1, 0.1 + 0.01 * f64::from(i % 5 - 2)];
        let neutral = tint(&shown(), (0..900).map(noise)).unwrap();
        assert!(neutral.pixels == 900 && neutral.two_sigma[0] > 0.0);
        let tinted = tint(&shown(), (0..900).map(|i| [noise(i)[0], 0.1, noise(i)[2] + 0.05])).unwrap();
        assert!(tinted.is_seen() && tinted.ab[1] < -5.0, "{tinted:?}");
        // Four times the pixels, half the error.
        let more = tint(&shown(), (0..3600).map(noise)).unwrap();
        assert!((more.two_sigma[1] * 2.0 / neutral.two_sigma[1] - 1.0).abs() < 0.01);
        assert_eq!(tint(&shown(), []), None);
    }
}
