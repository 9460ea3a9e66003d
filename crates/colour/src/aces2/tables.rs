//! The tables over hue of ACES 2, made for one peak and one set of limiting primaries: how far AP1 reaches, where the
//! limiting gamut has its cusps, and how its upper hull bends.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform; cusps at hues that hold the corners of both
//! gamuts, as in OpenColorIO 2.6.

use super::appearance::{Appearance, Jmh, REFERENCE_NITS};
use super::gamut::{Cusp, Gamut, SMOOTH_CUSP, SMOOTH_M};
use super::tone_scale::ToneScale;

/// Hues in a table, a degree apart or about so.
pub const HUES: usize = 360;
/// Entries in a table: the hues, with the last one before the first and the first one after the last.
pub const ENTRIES: usize = HUES + 2;

/// Colourfulness is sought in steps of this, up to this, and then to within this.
const REACH_STEP: f64 = 50.0;
const REACH_MOST: f64 = 1300.0;
const REACH_ACCURACY: f64 = 1e-2;
const CORNER_ACCURACY: f64 = 1e-3;
const CUSP_ACCURACY: f64 = 1e-7;
const HULL_STEP: f64 = 0.4;
const HULL_MOST: f64 = 5.0;
const HULL_ACCURACY: f64 = 1e-5;
/// Where between cusp and white the upper hull must enclose the gamut.
const HULL_TESTS: [f64; 5] = [0.01, 0.1, 0.5, 0.8, 0.99];
/// Red, yellow, green, cyan, blue, magenta: round the hues.
const CORNERS: [[f64; 3]; 6] =
    [[1.0, 0.0, 0.0], [1.0, 1.0, 0.0], [0.0, 1.0, 0.0], [0.0, 1.0, 1.0], [0.0, 0.0, 1.0], [1.0, 0.0, 1.0]];

/// One hue after the other, with what wraps at both ends.
fn wrapped<T: Copy + Default>(nominal: &[T], lower: impl Fn(T) -> T, upper: impl Fn(T) -> T) -> Vec<T> {
    let first = nominal.first().copied().unwrap_or_default();
    let last = nominal.last().copied().unwrap_or_default();
    let mut table = Vec::with_capacity(nominal.len() + 2);
    table.push(lower(last));
    table.extend_from_slice(nominal);
    table.push(upper(first));
    table
}

/// The two entries about index `upper` and before it.
pub(super) fn pair<T: Copy + Default>(table: &[T], upper: usize) -> (T, T) {
    let at = |index: usize| table.get(index).copied().unwrap_or_default();
    (at(upper.saturating_sub(1)), at(upper))
}

/// Colourfulness that the reach has at the lightness of the peak, at each whole degree of hue; entry 1 is hue 0.
pub fn reach(reach: &Appearance, most_j: f64) -> Vec<f64> {
    let outside = |m: f64, hue: f64| reach.rgb_from_jmh(Jmh { j: most_j, m, hue }).iter().any(|&c| c < 0.0);
    let nominal: Vec<f64> = (0..HUES)
        .map(|degree| {
            let hue = degree as f64;
            let (mut low, mut high) = (0.0, REACH_STEP);
            while high < REACH_MOST && !outside(high, hue) {
                low = high;
                high += REACH_STEP;
            }
            while high - low > REACH_ACCURACY {
                let middle = 0.5 * (low + high);
                *(if outside(middle, hue) { &mut high } else { &mut low }) = middle;
            }
            high
        })
        .collect();
    wrapped(&nominal, |last| last, |first| first)
}

/// A corner of a gamut.
#[derive(Debug, Clone, Copy)]
struct Corner {
    rgb: [f64; 3],
    colour: Jmh,
}

/// The corners by rising hue.
fn by_hue(model: &Appearance, rgb: impl Fn([f64; 3]) -> [f64; 3]) -> Vec<Corner> {
    let mut corners: Vec<Corner> = CORNERS
        .iter()
        .map(|&corner| {
            let rgb = rgb(corner);
            Corner { rgb, colour: model.jmh_from_rgb(rgb) }
        })
        .collect();
    corners.sort_by(|a, b| a.colour.hue.total_cmp(&b.colour.hue));
    corners
}

/// The corners of the reach at the lightness of the peak.
fn reach_corners(reach: &Appearance, most_j: f64, most_scene: f64) -> Vec<Corner> {
    let wanted = reach.achromatic_from_j(most_j);
    by_hue(reach, |corner| {
        let (mut low, mut high) = (0.0, most_scene);
        while high - low > CORNER_ACCURACY {
            let middle = 0.5 * (low + high);
            let [achromatic, ..] = reach.opponent_from_rgb(corner.map(|c| c * middle));
            *(if achromatic < wanted { &mut low } else { &mut high }) = middle;
        }
        corner.map(|c| c * high)
    })
}

/// The hues of the cusp table: as even as can be while every corner's hue is one of them. Entry 1 is hue 0.
fn hues(corners: &[f64]) -> Vec<f64> {
    let last = HUES - 1;
    let mut counts: Vec<usize> = Vec::with_capacity(corners.len());
    // Hue 0 is always sampled.
    let mut least = usize::from(corners.first().is_some_and(|&hue| hue != 0.0));
    let mut before = None;
    for &hue in corners {
        let mut index = (hue.round() as usize).max(least).min(last);
        if before == Some(index) {
            // Two corners fall on one sample: the earlier one moves down if there is room.
            let room = counts.iter().rev().nth(1).is_some_and(|&count| index > count + 1);
            match counts.last_mut() {
                Some(count) if room => *count -= 1,
                _ => index += 1,
            }
        }
        counts.push(index.min(last));
        before = Some(index);
        least = index;
    }
    let mut table = Vec::with_capacity(HUES);
    let ends = corners.iter().zip(&counts).map(|(&hue, &count)| (hue, count)).chain([(360.0, HUES)]);
    let mut low = 0.0;
    for (high, count) in ends {
        let samples = count.saturating_sub(table.len());
        table.extend((0..samples).map(|i| low + i as f64 * (high - low) / samples as f64));
        low = high;
    }
    table
}

/// Lightness and colourfulness of the gamut's outermost colour at a hue: somewhere on the edges between its corners.
fn cusp_at(hue: f64, corners: &[Corner], model: &Appearance) -> Jmh {
    let upper = corners.iter().position(|corner| corner.colour.hue > hue);
    let turn = |corner: &Corner, degrees: f64| {
        let mut turned = *corner;
        turned.colour.hue += degrees;
        turned
    };
    let (Some(first), Some(last)) = (corners.first(), corners.last()) else { return Jmh::BLACK };
    let (low, high) = match upper {
        Some(0) => (turn(last, -360.0), *first),
        Some(index) => {
            (corners.get(index - 1).copied().unwrap_or(*first), corners.get(index).copied().unwrap_or(*last))
        }
        None => (*last, turn(first, 360.0)),
    };
    if low.colour.hue == hue {
        return low.colour;
    }
    let on_edge = |share: f64| -> Jmh {
        let rgb = std::array::from_fn(|i| low.rgb[i] + (high.rgb[i] - low.rgb[i]) * share);
        model.jmh_from_rgb(rgb)
    };
    let along = hue - low.colour.hue;
    let (mut from, mut to) = (0.0, 1.0);
    while to - from > CUSP_ACCURACY {
        let middle = 0.5 * (from + to);
        // Counted from the lower corner, so that the edge across hue 0 needs nothing of its own.
        let turned = (on_edge(middle).hue - low.colour.hue).rem_euclid(360.0);
        *(if turned > along { &mut to } else { &mut from }) = middle;
    }
    on_edge(0.5 * (from + to))
}

/// The cusps of the limiting gamut with the shape of the hull above each; entry 1 is hue 0.
pub fn cusps(limiting: &Appearance, reach: &Appearance, tone_scale: &ToneScale, gamut: &Gamut) -> Vec<Cusp> {
    let peak = tone_scale.peak_nits / REFERENCE_NITS;
    let corners = by_hue(limiting, |corner| corner.map(|c| c * peak));
    let reached = reach_corners(reach, gamut.most_j, tone_scale.most_scene);
    let mut both: Vec<f64> = corners.iter().chain(&reached).map(|corner| corner.colour.hue).collect();
    both.sort_by(f64::total_cmp);
    both.dedup();
    let nominal: Vec<Cusp> = hues(&both)
        .into_iter()
        .map(|hue| {
            let Jmh { j, m, .. } = cusp_at(hue, &corners, limiting);
            let cusp = Cusp { hue, j, m: m * (1.0 + SMOOTH_M * SMOOTH_CUSP), upper_exponent: 0.0 };
            Cusp { upper_exponent: upper_exponent(&cusp, limiting, peak, gamut), ..cusp }
        })
        .collect();
    wrapped(&nominal, |last| Cusp { hue: last.hue - 360.0, ..last }, |first| Cusp { hue: first.hue + 360.0, ..first })
}

/// The exponent with which the upper hull just encloses the gamut at a cusp's hue.
fn upper_exponent(cusp: &Cusp, limiting: &Appearance, peak: f64, gamut: &Gamut) -> f64 {
    let lines = HULL_TESTS.map(|share| {
        let j = cusp.j + (gamut.most_j - cusp.j) * share;
        gamut.line(j, cusp.m, j, cusp)
    });
    let encloses = |gamma: f64| {
        let shaped = Cusp { upper_exponent: 1.0 / gamma, ..*cusp };
        lines.iter().all(|line| {
            let m = gamut.boundary(line, &shaped);
            let rgb = limiting.rgb_from_jmh(Jmh { j: line.j_at(m), m, hue: cusp.hue });
            rgb.iter().any(|&c| c > peak)
        })
    };
    let (mut low, mut high) = (0.0, HULL_STEP);
    while high < HULL_MOST && !encloses(high) {
        low = high;
        high += HULL_STEP;
    }
    while high - low > HULL_ACCURACY {
        let middle = 0.5 * (low + high);
        *(if encloses(middle) { &mut high } else { &mut low }) = middle;
    }
    1.0 / high
}
