//! The colour decision list that comes nearest to a candidate, at a place where a list can work.
//!
//! Slope, offset and power of each channel and one saturation, clamped as release 1.2 of the list says, are sought so that what is
//! shown through them, by the candidate's own output transform with nothing else done, is nearest to what the candidate shows: the
//! least sum of squared differences in CIELAB (in ICtCp, weighted as in Delta E ITP, on PQ and HLG), as the display shows both, over
//! colours of the picture and a ramp of greys. The search begins at the list that changes nothing.

use ops::{Cdl, Pointwise as _, Signal};

use super::truth::coordinates;
use super::{STOPS, converted, shown_colour};
use crate::least_squares::{Unknown, least_squares};
use crate::response::Candidate;

/// Decimals of each number of the list: what lists usually have (common practice, no source).
const DECIMALS: i32 = 6;

/// A place of a chain where a list can work: what leads the original there, and what shows it from there.
pub struct CdlPlace<'a> {
    /// From the original's signal to the numbers that the list works on.
    pub enter: &'a (dyn Fn([f64; 3]) -> [f64; 3] + Sync),
    /// From these numbers to the shown signal, with nothing corrected.
    pub show: &'a (dyn Fn([f64; 3]) -> [f64; 3] + Sync),
}

impl CdlPlace<'_> {
    /// What is shown of a pixel of the original through a list.
    pub fn through(&self, cdl: &Cdl) -> impl Fn([f64; 3]) -> [f64; 3] {
        let list = cdl.eval(&Signal::log());
        move |rgb| (self.show)(list((self.enter)(rgb)))
    }
}

/// The nearest list, rounded to six decimals. `pixels` are colours of the original; some hundred do.
pub fn nearest_cdl(
    candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>,
    place: &CdlPlace,
    pixels: impl IntoIterator<Item = [f64; 3]>,
) -> Cdl {
    let grey = converted(&Signal::scene(), candidate.original().signal());
    let ramp = STOPS.map(|stops| grey([ops::MID_GREY * stops.exp2(); 3]));
    let codes: Vec<[f64; 3]> =
        pixels.into_iter().chain(ramp.into_iter().filter(|_| candidate.original().is_scene())).collect();
    let tap = candidate.result();
    let seen = |signal: [f64; 3]| coordinates(&shown_colour(tap, signal));
    let wanted: Vec<[f64; 3]> = codes.iter().map(|&code| seen(candidate.pixel(code))).collect();
    let entered: Vec<[f64; 3]> = codes.iter().map(|&code| (place.enter)(code)).collect();
    let residuals = |numbers: &[f64; 10]| {
        let list = cdl(numbers).eval(&Signal::log());
        let shown = entered.iter().map(|&code| seen((place.show)(list(code))));
        shown.zip(&wanted).flat_map(|(got, want)| [got[0] - want[0], got[1] - want[1], got[2] - want[2]]).collect()
    };
    let of = |start, low, high| Unknown { start, low, high };
    let (slope, offset, power) = (of(1.0, 0.0, 16.0), of(0.0, -4.0, 4.0), of(1.0, 0.1, 8.0));
    let unknowns = [slope, slope, slope, offset, offset, offset, power, power, power, of(1.0, 0.0, 8.0)];
    let unit = 10f64.powi(DECIMALS);
    cdl(&least_squares(unknowns, residuals).map(|v| (v * unit).round() / unit))
}

fn cdl(numbers: &[f64; 10]) -> Cdl {
    let [a, b, c, d, e, f, g, h, i, saturation] = *numbers;
    Cdl { slope: [a, b, c], offset: [d, e, f], power: [g, h, i], saturation, clamp: true }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::cost;
    use crate::verdict::testing::{in_scene, original, shown};

    /// Codes of a picture: surfaces of some saturation, from deep shadow to near clipping.
    fn picture() -> Vec<[f64; 3]> {
        (0..300u32)
            .map(|i| {
                [0.0, 0.33, 0.67].map(|at| {
                    0.15 + 0.55 * (f64::from(i % 20) / 19.0)
                        + 0.05 * (std::f64::consts::TAU * (at + f64::from(i) / 300.0)).cos()
                })
            })
            .collect()
    }

    /// The cost of the nearest list in camera code, of a candidate that corrects code and then scene light.
    fn cost_in_camera(
        code: impl Fn([f64; 3]) -> [f64; 3] + Sync,
        light: impl Fn([f64; 3]) -> [f64; 3] + Sync,
    ) -> (Cdl, f64) {
        let (corrected, plain) = (in_scene(light), in_scene(|rgb| rgb));
        let candidate = Candidate::new(original(), shown(), |rgb| corrected(code(rgb)));
        let place = CdlPlace { enter: &|rgb| rgb, show: &plain };
        let cdl = nearest_cdl(&candidate, &place, picture().into_iter().step_by(2));
        let cost = cost(&candidate, place.through(&cdl), picture()).unwrap();
        (cdl, cost.p95)
    }

    #[test]
    fn offsets_of_code_are_found_and_cost_nothing() {
        let (cdl, cost) = cost_in_camera(|[r, g, b]| [r - 0.05, g + 0.01, b + 0.08], |rgb| rgb);
        assert!(cost < 1e-3, "{cost}");
        for (got, want) in cdl.offset.iter().zip([-0.05, 0.01, 0.08]) {
            assert!((got - want).abs() < 1e-4, "{cdl:?}");
        }
        assert!(cdl.clamp && (cdl.saturation - 1.0).abs() < 1e-4, "{cdl:?}");
    }

    #[test]
    fn a_list_is_found_again() {
        let list = Cdl {
            slope: [1.1, 0.95, 1.0],
            offset: [-0.03, 0.0, 0.02],
            power: [1.1, 1.0, 0.9],
            saturation: 1.2,
            clamp: true,
        };
        let eval = list.eval(&Signal::log());
        let (cdl, cost) = cost_in_camera(eval, |rgb| rgb);
        assert!(cost < 2e-3, "{cost}");
        assert!((cdl.saturation - 1.2).abs() < 1e-3 && (cdl.slope[0] - 1.1).abs() < 1e-3, "{cdl:?}");
    }

    #[test]
    fn what_a_list_cannot_do_costs_something() {
        // Red and green changed over, and a gain of light that only bright pixels get.
        let (_, crossed) = cost_in_camera(|[r, g, b]| [g, r, b], |rgb| rgb);
        assert!(crossed > 3.0, "{crossed}");
        let (_, bright) = cost_in_camera(|rgb| rgb, |rgb| rgb.map(|v| if rgb[1] > 0.2 { 1.5 * v } else { v }));
        assert!(bright > 0.5, "{bright}");
    }
}
