//! Hues kept: how many hues a picture has, against how many it should have.
//!
//! Pixels' hues in Oklab are counted by chroma into 72 parts of the circle and smoothed by a Gaussian of one part; greys, below
//! a chroma of 0.002, have none. With p the
//! shares, `exp(-sum p ln p)` is how many hues the picture has: 72 where all are as strong, 1 where there is one.
//! The ratio to the same of the yardstick is what a candidate keeps: below 1 hues fell together, above 1 they were spread or
//! noise was coloured.
//!
//! # Source
//! The exponential of Shannon's entropy as a count: M. Hill, Diversity and Evenness, Ecology 54, 1973 (from memory).

use colour::uniform::oklab_from_xyz;

/// Chroma in Oklab below which a pixel is grey: about half a Delta E.
const LEAST_CHROMA: f64 = 0.002;
/// Parts of the circle.
const PARTS: usize = 72;
/// Weights of the smoothing by distance in parts: a Gaussian of one part.
const REACH: i32 = 4;

/// The hues of a picture.
#[derive(Debug, Clone, PartialEq)]
pub struct Hues {
    /// Share of the picture's chroma in each five degrees of hue, smoothed; they sum to 1.
    pub shares: Vec<f64>,
}

impl Hues {
    /// Of the colours of a picture's pixels, CIE XYZ. None where nothing has any colour.
    pub fn of(pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Hues> {
        let mut parts = [0.0; PARTS];
        for [_, a, b] in pixels.into_iter().map(oklab_from_xyz) {
            let chroma = a.hypot(b);
            let turn = (b.atan2(a).to_degrees().rem_euclid(360.0)) / 360.0;
            let part = (turn * PARTS as f64) as usize % PARTS;
            if let Some(into) = parts.get_mut(part).filter(|_| chroma.is_finite() && chroma >= LEAST_CHROMA) {
                *into += chroma;
            }
        }
        let sum: f64 = parts.iter().sum();
        if sum <= 0.0 {
            return None;
        }
        let weights: Vec<f64> = (-REACH..=REACH).map(|d| (-0.5 * f64::from(d * d)).exp()).collect();
        let total: f64 = weights.iter().sum::<f64>() * sum;
        let smoothed = |at: usize| {
            let near = weights.iter().enumerate().map(|(i, weight)| {
                let part = (at + PARTS + i - REACH as usize) % PARTS;
                weight * parts.get(part).copied().unwrap_or(0.0)
            });
            near.sum::<f64>() / total
        };
        Some(Hues { shares: (0..PARTS).map(smoothed).collect() })
    }

    /// How many hues there are: 1 to 72.
    pub fn count(&self) -> f64 {
        let entropy: f64 = self.shares.iter().filter(|share| **share > 0.0).map(|share| -share * share.ln()).sum();
        entropy.exp()
    }

    /// What is kept of another picture's hues.
    pub fn kept_of(&self, other: &Hues) -> f64 {
        self.count() / other.count()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::uniform::xyz_from_oklab;

    fn hues(degrees: impl Iterator<Item = f64>) -> Hues {
        let pixel = |degrees: f64| {
            let (sin, cos) = degrees.to_radians().sin_cos();
            xyz_from_oklab([0.6, 0.1 * cos, 0.1 * sin])
        };
        Hues::of(degrees.map(pixel)).unwrap()
    }

    #[test]
    fn hues_are_counted_whichever_they_are() {
        let all = hues((0..720).map(|i| f64::from(i) / 2.0 + 0.1));
        assert!((all.count() - 72.0).abs() < 1e-3, "{}", all.count());
        let one = hues([2.5].into_iter());
        // One part through a Gaussian of one part: its entropy is ln sqrt(2 pi e), so 4.13 parts.
        let want = (2.0 * std::f64::consts::PI * std::f64::consts::E).sqrt();
        assert!((one.count() - want).abs() < 0.01, "{}", one.count());
        // Far apart they add, and where on the circle does not matter.
        let three = hues([2.5, 122.5, 242.5].into_iter());
        assert!((three.kept_of(&one) - 3.0).abs() < 1e-3);
        assert!((hues([357.5].into_iter()).count() - one.count()).abs() < 1e-9);
        // Nearer than the smoothing they fall together.
        assert!(hues([2.5, 3.5].into_iter()).kept_of(&one) < 1.001);
    }

    #[test]
    fn chroma_weighs_and_grey_has_no_hues() {
        assert_eq!(Hues::of([[0.0; 3], [f64::NAN; 3], xyz_from_oklab([0.6, 0.001, 0.001])]), None);
        let sum: f64 = hues([10.0, 200.0].into_iter()).shares.iter().sum();
        assert!((sum - 1.0).abs() < 1e-12);
        let strong = [[0.6, 0.1, 0.0], [0.6, -0.01, 0.0]].map(xyz_from_oklab);
        let share: f64 = Hues::of(strong).unwrap().shares[31..41].iter().sum();
        assert!((share - 0.1 / 1.1).abs() < 1e-3, "{share}");
    }
}
