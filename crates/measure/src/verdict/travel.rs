//! What it costs to travel: how far a candidate is from itself after it has gone through a file for other tools.
//!
//! The cost is the 95th percentile of the Delta E 2000 (ITP on PQ and HLG) between what such a file shows and the candidate on the
//! picture's own pixels, as the display shows them. A Cube LUT is a grid over the original's signal, 0 to 1 in each channel, that
//! holds what the candidate shows, rounded to single floats as files hold them; between its entries it is tetrahedral.

use colour::Lut;
use colour::lut::LutKind;

use super::{Differences, difference, shown_colour};
use crate::response::Candidate;

/// Bakes a candidate into a grid of `size` entries an edge. None where it shows what no LUT can hold, and for sizes that none has.
pub fn bake(candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>, size: usize) -> Option<Lut> {
    let step = 1.0 / (size.max(2) - 1) as f64;
    let at = |index: usize| index as f64 * step;
    let mut entries = Vec::with_capacity(LutKind::ThreeD.entries(size));
    for blue in 0..size {
        for green in 0..size {
            for red in 0..size {
                let shown = candidate.pixel([at(red), at(green), at(blue)]);
                entries.push(shown.map(|v| f64::from(v as f32)));
            }
        }
    }
    Lut::new(LutKind::ThreeD, size, [0.0; 3], [1.0; 3], entries).ok()
}

/// How far what travelled is from the candidate over pixels of the original. None of none.
pub fn cost(
    candidate: &Candidate<impl Fn([f64; 3]) -> [f64; 3]>,
    travelled: impl Fn([f64; 3]) -> [f64; 3],
    pixels: impl IntoIterator<Item = [f64; 3]>,
) -> Option<Differences> {
    let colour = |signal| shown_colour(candidate.result(), signal);
    let apart = |pixel| difference(&colour(travelled(pixel)), &colour(candidate.pixel(pixel)));
    Differences::of(pixels.into_iter().map(apart))
}

#[cfg(test)]
mod tests {
    use colour::lut::Interpolation;

    use super::*;
    use crate::verdict::testing::{in_scene, original, shown};

    #[test]
    fn a_finer_grid_costs_less_and_what_is_straight_costs_nothing() {
        let curved = in_scene(|rgb| rgb.map(|v| v * 1.5));
        let candidate = Candidate::new(original(), shown(), curved);
        let pixels: Vec<[f64; 3]> = (0..400)
            .map(|i| [0.2, 0.35, 0.3].map(|v| v + 0.0007 * f64::from(i % 97) + 0.001 * f64::from(i % 31)))
            .collect();
        let through = |lut: Lut| move |rgb| lut.look_up(Interpolation::Tetrahedral, rgb);
        let of = |size| cost(&candidate, through(bake(&candidate, size).unwrap()), pixels.iter().copied()).unwrap().p95;
        let (coarse, fine) = (of(9), of(33));
        assert!(fine < coarse / 4.0 && fine < 0.5 && coarse > 0.1, "{coarse} {fine}");
        let straight = |rgb: [f64; 3]| [0.1 + 0.8 * rgb[0], rgb[1], 0.5 * rgb[2]];
        let candidate = Candidate::new(original(), shown(), straight);
        let none = cost(&candidate, through(bake(&candidate, 2).unwrap()), pixels.iter().copied()).unwrap();
        assert!(none.max < 1e-3, "{none:?}"); // entries are single floats
        assert_eq!(bake(&Candidate::new(original(), shown(), |_| [f64::NAN; 3]), 2), None);
    }
}
