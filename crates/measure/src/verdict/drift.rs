//! Grey drift: how far grey under the shot's light leaves neutral from shadows to highlights, and how it turns on the way.
//!
//! At each stop s that the shot occupies, grey g(s) goes through the candidate, unclamped. Its drift is the Delta E 2000 to the
//! neutral of its own luminance (Delta E ITP on PQ and HLG). Below L* 8 colour differences say little, and the spread of its
//! red, green and blue in 10-bit codes stands for them. Crossover is mired and Duv at -4 and at +2 less those at 0: a cast in
//! the shadows and another one in the highlights. No picture is needed.

use colour::locus::mired_from_kelvin;

use super::truth::neutral;
use super::{Grey, STOPS, TEN_BIT, of_scene};
use crate::readings::{Tristimulus, WhiteShift};
use crate::response::Candidate;

/// CIE L* below which codes stand for colour differences.
pub const DARK_LIGHTNESS: f64 = 8.0;

/// The stops whose white is told from that at 0.
pub const CROSSOVER_STOPS: [f64; 2] = [-4.0, 2.0];

/// Half the distance of two stops: a tone belongs to the nearest one.
const HALF: f64 = 1.0 / 6.0;

/// Grey at a stop, as it is shown.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Point {
    /// Stops from the card.
    pub stops: f64,
    /// Whether the picture has such tones.
    pub occupied: bool,
    /// The shown signal.
    pub signal: [f64; 3],
    /// Its colour.
    pub colour: Tristimulus,
    /// Delta E to the neutral of the same luminance; none below L* 8 outside PQ and HLG.
    pub delta_e: Option<f64>,
    /// The greatest less the least channel, in 10-bit codes.
    pub spread_codes: f64,
}

/// How grey drifts.
#[derive(Debug, Clone, PartialEq)]
pub struct Drift {
    /// Every stop, occupied or not.
    pub points: Vec<Point>,
    /// Whether Delta E is ITP.
    pub itp: bool,
    /// The worst occupied point of those that have a Delta E.
    pub worst: Option<Point>,
    /// The worst occupied point of the dark ones, by its spread in codes.
    pub worst_dark: Option<Point>,
    /// White at each of [`CROSSOVER_STOPS`] less that at 0; none where it is not occupied or has no white.
    pub crossover: [Option<WhiteShift>; 2],
}

/// Sends grey through a candidate. `occupied` are the stops that the shot has.
pub fn drift(candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>, grey: &Grey, occupied: [f64; 2]) -> Drift {
    let shows = of_scene(candidate);
    let point = |stops: f64| {
        let signal = shows(grey.scene(stops));
        let xyz = candidate.result().xyz(candidate.result().light(signal));
        let colour = Tristimulus { xyz, white_nits: candidate.result().white_nits() };
        let neutral = neutral(&colour);
        let delta_e = if candidate.result().is_hdr() {
            colour.delta_e_itp(&neutral)
        } else {
            (colour.lab()[0] >= DARK_LIGHTNESS).then(|| colour.delta_e_2000(&neutral))
        };
        let most = signal.into_iter().fold(f64::NEG_INFINITY, f64::max);
        let least = signal.into_iter().fold(f64::INFINITY, f64::min);
        let is_occupied = (occupied[0] - HALF..=occupied[1] + HALF).contains(&stops);
        Point { stops, occupied: is_occupied, signal, colour, delta_e, spread_codes: TEN_BIT * (most - least) }
    };
    let points: Vec<Point> = STOPS.into_iter().map(point).collect();
    let worst = |of: fn(&Point) -> Option<f64>| {
        let known = points.iter().filter(|point| point.occupied).filter_map(|point| Some((of(point)?, *point)));
        known.max_by(|a, b| a.0.total_cmp(&b.0)).map(|(_, point)| point)
    };
    let [low, high] = CROSSOVER_STOPS.map(|stops| shift(&point(0.0), &point(stops)));
    Drift {
        worst: worst(|point| point.delta_e),
        worst_dark: worst(|point| (point.colour.lab()[0] < DARK_LIGHTNESS).then_some(point.spread_codes)),
        itp: candidate.result().is_hdr(),
        crossover: [low, high],
        points,
    }
}

fn shift(middle: &Point, end: &Point) -> Option<WhiteShift> {
    let (from, to) = (middle.colour.cct_duv()?, end.colour.cct_duv().filter(|_| end.occupied)?);
    Some(WhiteShift { mired: mired_from_kelvin(to.0) - mired_from_kelvin(from.0), duv: to.1 - from.1 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Tap;
    use crate::verdict::Known;
    use crate::verdict::testing::{WARM, in_scene, original, shown};
    use ops::{Display, Signal};

    const ALL: [f64; 2] = [-6.0, 4.0];

    fn grey() -> Grey {
        Grey::of_card(WARM.map(|v| 0.18 * v), Known::Card).unwrap()
    }

    fn drifted(shows: &(dyn Fn([f64; 3]) -> [f64; 3] + Sync), shown: &Tap, occupied: [f64; 2]) -> Drift {
        drift(&Candidate::new(original(), shown.clone(), shows), &grey(), occupied)
    }

    #[test]
    fn gains_in_light_leave_grey_grey_at_every_stop() {
        let gained = in_scene(|rgb| [0, 1, 2].map(|i| rgb[i] / WARM[i]));
        let drift = drifted(&gained, &shown(), ALL);
        assert!(drift.worst.unwrap().delta_e.unwrap() < 1e-6 && drift.worst_dark.unwrap().spread_codes < 1e-6);
        for shift in drift.crossover {
            assert!(shift.unwrap().mired.abs() < 1e-6 && shift.unwrap().duv.abs() < 1e-9);
        }
    }

    #[test]
    fn offsets_in_the_display_signal_drift_where_the_card_does_not() {
        let plain = in_scene(|rgb| rgb);
        let card = plain(converted_card());
        let target = 0.18f64.powf(1.0 / 2.4);
        let offset = |code: [f64; 3]| {
            let shown = plain(code);
            [0, 1, 2].map(|i| shown[i] + target - card[i])
        };
        let drift = drifted(&offset, &shown(), ALL);
        assert!(drift.points[18].delta_e.unwrap() < 1e-6);
        // Far below the card the offsets alone are left: what black gets.
        let spread = TEN_BIT * (card[0] - card[2]);
        let dark = drift.points[0].spread_codes;
        assert!(dark > 0.6 * spread && dark < spread, "{dark} {spread}");
        // Offsets that make the middle bluer make the shadows bluer still, and leave highlights warm.
        let [shadows, lights] = drift.crossover.map(|shift| shift.map(|shift| shift.mired));
        assert!(shadows.is_none_or(|mired| mired < -20.0) && lights.unwrap() > 20.0, "{shadows:?} {lights:?}");
        // Only what the shot has counts.
        let narrow = drifted(&offset, &shown(), [-0.1, 0.4]);
        assert!(narrow.worst.unwrap().stops.abs() < 0.4 && narrow.worst_dark.is_none());
        assert_eq!(narrow.crossover, [None, None]);
    }

    fn converted_card() -> [f64; 3] {
        crate::verdict::converted(&Signal::scene(), original().signal())(grey().scene(0.0))
    }

    #[test]
    fn bright_displays_are_judged_by_itp() {
        let pq = Tap::new(Display::Pq.signal(1000.0, 0.0));
        let drift = drifted(&|_| [0.4, 0.4, 0.4], &pq, ALL);
        assert!(drift.itp && drift.points.iter().all(|point| point.delta_e.unwrap() < 1e-6));
        let tinted = drifted(&|_| [0.41, 0.4, 0.4], &pq, ALL);
        assert!(tinted.worst.unwrap().delta_e.unwrap() > 0.5);
    }
}
