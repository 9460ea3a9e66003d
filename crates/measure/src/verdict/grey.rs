//! Grey under the shot's own light.
//!
//! `g(s) = L 2^s w + f`: w is the light's colour on AP1 with luminance 1, L the luminance at which the original holds an
//! 18 % card, f a veil of flare. Stops count from the card, so that a shot that is under by a stop is judged over the tones
//! that its picture has.

use colour::Xy;
use ops::{MID_GREY, Signal};

use crate::Tap;
use crate::readings::Tristimulus;

/// The stops that figures on grey are taken at: -6 to +4 from the card, by thirds.
pub const STOPS: [f64; 31] = {
    let mut stops = [0.0; 31];
    let mut at = 0;
    while at < stops.len() {
        stops[at] = (at as f64 - 18.0) / 3.0;
        at += 1;
    }
    stops
};

/// The share of a picture's pixels at either end that does not count as tones of its own: noise and single lamps.
///
/// # Source
/// Common practice, no source.
const ENDS: f64 = 0.001;

/// How the shot's light is known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Known {
    /// From an 18 % card in the picture.
    Card,
    /// From a grey of a chart.
    Chart,
    /// From what the scene was made of.
    Truth,
}

impl Known {
    /// One word.
    pub fn name(self) -> &'static str {
        match self {
            Known::Card => "card",
            Known::Chart => "chart",
            Known::Truth => "truth",
        }
    }
}

/// Grey under the shot's own light, as the original holds it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grey {
    /// The light's colour on AP1; its luminance is 1.
    pub light: [f64; 3],
    /// Luminance of an 18 % card in the original, as scene light.
    pub level: f64,
    /// A veil over everything, on AP1; added, not corrected.
    pub flare: [f64; 3],
    /// How it is known.
    pub known: Known,
}

impl Grey {
    /// From the mean scene light (AP1) of an 18 % card. None where it has no luminance.
    pub fn of_card(light: [f64; 3], known: Known) -> Option<Grey> {
        let level = luminance(light);
        (level > 0.0 && level.is_finite()).then(|| Grey {
            light: light.map(|v| v / level),
            level,
            flare: [0.0; 3],
            known,
        })
    }

    /// From a chromaticity, read where equal RGB is D65, and the luminance of an 18 % card. None for what is no light.
    pub fn of_white(white: Xy, level: f64, known: Known) -> Option<Grey> {
        let light = Tap::new(Signal::scene()).xyz_from_light().inverse()?.apply(white.to_xyz());
        let ok = white.is_light() && level > 0.0 && level.is_finite();
        ok.then_some(Grey { light, level, flare: [0.0; 3], known })
    }

    /// Scene light of grey so many stops from the card.
    pub fn scene(&self, stops: f64) -> [f64; 3] {
        let level = self.level * stops.exp2();
        [0, 1, 2].map(|i| level * self.light[i] + self.flare[i])
    }

    /// The light's chromaticity.
    pub fn white(&self) -> Xy {
        Xy::from_xyz(Tap::new(Signal::scene()).xyz(self.light))
    }

    /// Its correlated colour temperature in kelvin, and Duv; none where it has none.
    pub fn cct_duv(&self) -> Option<(f64, f64)> {
        Tristimulus { xyz: Tap::new(Signal::scene()).xyz(self.light), white_nits: None }.cct_duv()
    }

    /// Stops by which the original is over (plus) or under.
    pub fn stops_over(&self) -> f64 {
        (self.level / MID_GREY).log2()
    }
}

fn luminance(light: [f64; 3]) -> f64 {
    Tap::new(Signal::scene()).xyz(light)[1]
}

/// The stops from the card between which a picture lies, but for a thousandth of its pixels at either end. `luminances` are
/// those of scene light. None where nothing has light.
pub fn occupied(luminances: impl IntoIterator<Item = f64>, grey: &Grey) -> Option<[f64; 2]> {
    let mut stops: Vec<f64> =
        luminances.into_iter().filter(|y| *y > 0.0 && y.is_finite()).map(|y| (y / grey.level).log2()).collect();
    let last = stops.len().checked_sub(1)?;
    stops.sort_unstable_by(f64::total_cmp);
    let at = |share: f64| stops.get((share * last as f64).round() as usize).copied();
    Some([at(ENDS)?, at(1.0 - ENDS)?])
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::testing::WARM;

    #[test]
    fn stops_are_thirds_from_six_below_to_four_above() {
        assert_eq!((STOPS[0], STOPS[18], STOPS[30]), (-6.0, 0.0, 4.0));
        assert!((STOPS[1] + 17.0 / 3.0).abs() < 1e-15);
    }

    #[test]
    fn a_card_gives_its_light_and_its_level() {
        let card = WARM.map(|v| 0.09 * v / luminance(WARM));
        let grey = Grey::of_card(card, Known::Card).unwrap();
        assert!((grey.stops_over() + 1.0).abs() < 1e-12);
        assert_eq!(grey.scene(0.0), card);
        let by_white = Grey::of_white(grey.white(), 0.09, Known::Truth).unwrap();
        for (a, b) in by_white.light.iter().zip(grey.light) {
            assert!((a - b).abs() < 1e-12, "{by_white:?} {grey:?}");
        }
        let veiled = Grey { flare: [0.01; 3], ..grey };
        assert!((veiled.scene(1.0)[0] - (2.0 * card[0] + 0.01)).abs() < 1e-15);
        assert_eq!(Grey::of_card([0.0; 3], Known::Card), None);
        assert_eq!(Grey::of_card([f64::NAN; 3], Known::Card), None);
    }

    #[test]
    fn a_picture_occupies_the_stops_of_all_but_its_ends() {
        let grey = Grey::of_card([0.18; 3], Known::Card).unwrap();
        // A thousand pixels a stop apart by thousandths from -5 to +2, two lamps, and black.
        let within = (0..=7000).map(|i| grey.level * (f64::from(i) / 1000.0 - 5.0).exp2());
        let all = within.chain([100.0, 200.0, 0.0, -1.0, f64::NAN]);
        let [low, high] = occupied(all, &grey).unwrap();
        assert!((low + 5.0).abs() < 0.01 && (high - 2.0).abs() < 0.01, "{low} {high}");
        assert_eq!(occupied([0.0], &grey), None);
    }
}
