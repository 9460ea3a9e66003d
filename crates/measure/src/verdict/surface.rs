//! Hue gaps: whether surfaces that must be told apart stay apart, such as skin and foliage.
//!
//! A surface's hue is the mean of its pixels in the plane of Oklab's a and b: a circular mean of their hues, weighted by chroma. Its
//! spread is the circular standard deviation `sqrt(-2 ln R)`, R the length of the mean over the mean chroma. The gap of two
//! surfaces is the angle between them, 0 to 180 degrees; `d' = gap / sqrt((spread1^2 + spread2^2) / 2)` says how clearly it stands
//! out of what each varies in itself. Signals are taken before the clamp.
//!
//! # Source
//! Oklab: B. Ottosson, A perceptual color space for image processing, 2020. Circular statistics: K. Mardia and P. Jupp,
//! Directional Statistics, 2000 (from memory).

use colour::uniform::oklab_from_xyz;

use super::truth::difference;
use crate::Tap;
use crate::readings::Tristimulus;

/// Degrees of spread below which there is only rounding: a picture without noise, such as the truth.
const LEAST_SPREAD: f64 = 0.05;

/// A surface as it is shown.
#[derive(Debug, Clone, PartialEq)]
pub struct Surface {
    /// What the user calls it.
    pub name: String,
    /// Its hue in Oklab, 0 to 360 degrees from +a towards +b.
    pub degrees: f64,
    /// Its chroma in Oklab.
    pub chroma: f64,
    /// Circular standard deviation of its hue in degrees.
    pub spread_degrees: f64,
    /// The colour of its mean light.
    pub colour: Tristimulus,
}

/// The angle between two surfaces.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gap {
    /// 0 to 180.
    pub degrees: f64,
    /// The gap in spreads; none where neither surface varies.
    pub d_prime: Option<f64>,
}

impl Surface {
    /// From its shown pixels. None where there are none, or where none has a hue.
    pub fn of(name: &str, shown: &Tap, pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Surface> {
        let (mut light, mut ab, mut chroma, mut count) = ([0.0; 3], [0.0; 2], 0.0, 0.0);
        for xyz in pixels.into_iter().map(|signal| shown.xyz(shown.light(signal))) {
            let [_, a, b] = oklab_from_xyz(xyz);
            if !(a.is_finite() && b.is_finite()) {
                continue;
            }
            light = [0, 1, 2].map(|i| light[i] + xyz[i]);
            ab = [ab[0] + a, ab[1] + b];
            chroma += a.hypot(b);
            count += 1.0;
        }
        let length = ab[0].hypot(ab[1]);
        (length > 0.0).then(|| Surface {
            name: name.to_string(),
            degrees: ab[1].atan2(ab[0]).to_degrees().rem_euclid(360.0),
            chroma: length / count,
            // Rounding can leave R a little above 1.
            spread_degrees: (-2.0 * (length / chroma).min(1.0).ln()).max(0.0).sqrt().to_degrees(),
            colour: Tristimulus { xyz: light.map(|v| v / count), white_nits: shown.white_nits() },
        })
    }

    /// How far it is from another surface in hue.
    pub fn gap(&self, other: &Surface) -> Gap {
        let turn = (self.degrees - other.degrees).rem_euclid(360.0);
        let degrees = turn.min(360.0 - turn);
        let rms = ((self.spread_degrees.powi(2) + other.spread_degrees.powi(2)) / 2.0).sqrt();
        Gap { degrees, d_prime: (rms > LEAST_SPREAD).then(|| degrees / rms) }
    }

    /// Delta E to the same surface as another picture shows it.
    pub fn delta_e(&self, other: &Surface) -> f64 {
        difference(&self.colour, &other.colour)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::uniform::xyz_from_oklab;
    use ops::{Display, Signal};

    /// A tap of linear light, so that a test can say colours in Oklab.
    fn linear() -> Tap {
        Tap::new(Display::Bt1886.signal(100.0, 0.0).linear())
    }

    fn pixel(degrees: f64, chroma: f64) -> [f64; 3] {
        let (sin, cos) = degrees.to_radians().sin_cos();
        linear().xyz_from_light().inverse().unwrap().apply(xyz_from_oklab([0.6, chroma * cos, chroma * sin]))
    }

    fn surface(hues: &[(f64, f64)]) -> Surface {
        Surface::of("s", &linear(), hues.iter().map(|(degrees, chroma)| pixel(*degrees, *chroma))).unwrap()
    }

    #[test]
    fn a_hue_is_a_circular_mean_weighted_by_chroma() {
        // Around 0 degrees, where a mean of numbers fails.
        let skin = surface(&[(350.0, 0.1), (10.0, 0.1)]);
        assert!(skin.degrees.min(360.0 - skin.degrees) < 1e-6, "{skin:?}");
        // Two unit vectors 20 degrees apart: R = cos 10 degrees.
        let want = (-2.0 * 10f64.to_radians().cos().ln()).sqrt().to_degrees();
        assert!((skin.spread_degrees - want).abs() < 1e-6);
        // Three times the chroma pulls three times as hard: atan(1/3) from the strong one.
        let mixed = surface(&[(0.0, 0.15), (90.0, 0.05)]);
        assert!((mixed.degrees - (1.0f64 / 3.0).atan().to_degrees()).abs() < 1e-6);
    }

    #[test]
    fn gaps_go_the_short_way_and_stand_out_of_the_spread() {
        let (skin, leaf) = (surface(&[(345.0, 0.1), (355.0, 0.1)]), surface(&[(75.0, 0.1), (65.0, 0.1)]));
        let gap = skin.gap(&leaf);
        assert!((gap.degrees - 80.0).abs() < 1e-6);
        assert!((gap.d_prime.unwrap() - 80.0 / skin.spread_degrees).abs() < 1e-3);
        assert_eq!(surface(&[(10.0, 0.1)]).gap(&surface(&[(50.0, 0.1)])).d_prime, None);
        assert!(skin.delta_e(&skin) == 0.0 && skin.delta_e(&leaf) > 10.0);
        let scene = Tap::new(Signal::scene());
        assert_eq!(Surface::of("black", &scene, [[0.0; 3]]), None);
        assert_eq!(Surface::of("none", &scene, []), None);
    }
}
