//! The constants of both ways of the ACES 2 transform as the GPU takes them, and its table over the hues.
//!
//! Lightness and colourfulness are shares of the lightness of the peak, and cones are in units in which a response is
//! `v / (v + 1)`: scales are folded into the matrices here. The tone scale works on logarithms to base two.
//!
//! The standard's tables bend at every entry, at hues that are nearly even for the cusps and even for the reach. The
//! GPU's table has a cell for each half degree, so that a hue finds its cell without a search; a cell holds where the
//! cusps' lines bend in it and the straight lines on both sides, so that it is the standard's own tables to the rounding
//! of f32. Of two bends in one cell, hues next to each other where both gamuts have a corner, the sharper is kept.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use colour::Matrix;
use colour::aces2::Aces2;
use colour::aces2::appearance::{Appearance, REFERENCE_NITS};
use colour::aces2::gamut::Cusp;

use crate::{Constant, Constants};

/// The response is `x^0.42 / (x^0.42 + 27.13)`.
const RESPONSE_POWER: f64 = 0.42;
const RESPONSE_OFFSET: f64 = 27.13;

/// Cells of the table: half a degree of hue each.
const CELLS: usize = 720;
const CELL_DEGREES: f64 = 360.0 / CELLS as f64;
/// Numbers in each.
const ENTRIES: usize = 12;

/// Light to the cones' units, `scale` being what 1.0 of it is of 100 nits.
pub(crate) fn cones(model: &Appearance, scale: f64) -> Constant {
    let unit = RESPONSE_OFFSET.powf(-1.0 / RESPONSE_POWER);
    Constant::Matrix(model.cones_from_rgb.0.map(|row| row.map(|value| value * unit * scale)))
}

/// The cones' units to light, `scale` being what 1.0 of it is of 100 nits.
pub(crate) fn light(model: &Appearance, scale: f64) -> Constant {
    let unit = RESPONSE_OFFSET.powf(1.0 / RESPONSE_POWER);
    Constant::Matrix(model.rgb_from_cones.0.map(|row| row.map(|value| value * unit / scale)))
}

/// Responses to the response of the grey that is as light, and the opponent colours as shares of the peak's lightness.
pub(crate) fn opponent(model: &Appearance, transform: &Aces2) -> Constant {
    let share = 1.0 / transform.gamut().most_j;
    Constant::Matrix((Matrix::diagonal([model.white_response, share, share]) * model.opponent_from_responses).0)
}

/// The inverse of [`opponent`], but for its first number, which `grey` stands for.
pub(crate) fn responses(model: &Appearance, transform: &Aces2, grey: f64) -> Constant {
    let most_j = transform.gamut().most_j;
    Constant::Matrix((model.responses_from_opponent * Matrix::diagonal([grey, most_j, most_j])).0)
}

/// The achromatic response of the lightness of the peak, 1 for that of 100 nits.
pub(crate) fn peak_achromatic(transform: &Aces2) -> f64 {
    (transform.gamut().most_j / 100.0).powf(1.0 / transform.scene_model().exponent)
}

/// The tone scale's constants.
pub(crate) fn tone_constants(transform: &Aces2) -> Constants {
    let (scene, tone) = (transform.scene_model(), transform.tone_scale());
    let peak = scene.white_response * peak_achromatic(transform);
    let bend = (tone.bend_nits * scene.cone_per_nit).log2() - RESPONSE_OFFSET.log2() / RESPONSE_POWER;
    let level = RESPONSE_OFFSET.log2() - RESPONSE_POWER * (REFERENCE_NITS * scene.cone_per_nit).log2();
    vec![
        ("bend", Constant::Scalar(bend)),
        ("ceiling", Constant::Scalar(tone.ceiling.log2())),
        ("level", Constant::Scalar(level)),
        ("of_peak", Constant::Scalar(1.0 / peak)),
        ("peak", Constant::Scalar(peak.log2())),
    ]
}

/// The constants of both compressions.
pub(crate) fn compression_constants(transform: &Aces2) -> Constants {
    let (chroma, gamut) = (transform.chroma(), transform.gamut());
    vec![
        ("expansion", Constant::Scalar(chroma.expansion)),
        ("threshold", Constant::Scalar(chroma.threshold)),
        ("compression", Constant::Scalar(chroma.compression)),
        ("norm", Constant::Scalar(chroma.norm_scale / gamut.most_j)),
        ("middle", Constant::Scalar(gamut.middle_j / gamut.most_j)),
        ("far", Constant::Scalar(gamut.focus_distance)),
        // The published gain is a decimal logarithm's square.
        ("gain", Constant::Scalar(gamut.focus_distance * 2f64.log10().powi(2))),
        ("least", Constant::Scalar(1e-4 / gamut.most_j)),
        ("lower", Constant::Scalar(gamut.lower_exponent)),
    ]
}

/// Lightness, colourfulness and upper exponent of a cusp, as shares of the peak's lightness.
type Shares = [f64; 3];

/// The table over the hues, a cell after the other.
pub(crate) fn table(transform: &Aces2) -> Vec<f64> {
    let most_j = transform.gamut().most_j;
    let cusps: Vec<(f64, Shares)> = transform
        .cusp_table()
        .iter()
        .map(|&Cusp { hue, j, m, upper_exponent }| (hue / CELL_DEGREES, [j / most_j, m / most_j, upper_exponent]))
        .collect();
    let reach: Vec<(f64, Shares)> = (-1i32..)
        .zip(transform.reach_table())
        .map(|(degree, m)| (f64::from(degree) / CELL_DEGREES, [m / most_j, 0.0, 0.0]))
        .collect();
    (0..CELLS).flat_map(|cell| entry(cell as f64, &cusps, &reach)).collect()
}

/// By how much the table misses an exponent of the upper hull at the most: where a cell has two of the standard's bends.
pub(crate) fn exponent_missed(transform: &Aces2) -> f64 {
    let table = table(transform);
    let missed = |&Cusp { hue, upper_exponent, .. }: &Cusp| {
        let turn = hue.rem_euclid(360.0) / CELL_DEGREES;
        let cell = table.chunks_exact(ENTRIES).nth(turn as usize)?;
        let &[bend, _, _, at_bend, _, _, before, _, _, after, _, _] = cell else { return None };
        let by = turn - bend;
        Some((at_bend + by * if by < 0.0 { before } else { after } - upper_exponent).abs())
    };
    transform.cusp_table().iter().filter_map(missed).fold(0.0, f64::max)
}

/// One cell: the bend, the cusp there, its slopes before and after, the reach there and its slope.
fn entry(low: f64, cusps: &[(f64, Shares)], reach: &[(f64, Shares)]) -> Vec<f64> {
    let high = low + 1.0;
    let inside = cusps.windows(3).filter_map(|three| match three {
        [before, bend, after] if low < bend.0 && bend.0 < high => {
            let (left, right) = (slope(*before, *bend), slope(*bend, *after));
            let sharpness = (0..3).map(|i| (right[i] - left[i]).abs()).fold(0.0, f64::max);
            Some((sharpness, bend.0))
        }
        _ => None,
    });
    let bend = inside.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(low + 0.5, |(_, at)| at);
    let at = |table: &[(f64, Shares)], place: f64| (place, between(table, place));
    let [start, middle, end] = [low, bend, high].map(|place| at(cusps, place));
    let (reach_start, reach_bend, reach_end) = (at(reach, low), between(reach, bend), at(reach, high));
    let mut entry = vec![bend];
    entry.extend(middle.1);
    entry.extend(slope(start, middle));
    entry.extend(slope(middle, end));
    entry.extend([reach_bend[0], slope(reach_start, reach_end)[0]]);
    entry
}

fn slope(from: (f64, Shares), to: (f64, Shares)) -> Shares {
    std::array::from_fn(|i| (to.1[i] - from.1[i]) / (to.0 - from.0))
}

/// What a table of straight lines is at a place within it.
fn between(table: &[(f64, Shares)], place: f64) -> Shares {
    let upper = table.partition_point(|known| known.0 < place);
    match (table.get(upper.saturating_sub(1)), table.get(upper)) {
        (Some(&low), Some(&high)) if high.0 > low.0 => {
            let share = (place - low.0) / (high.0 - low.0);
            std::array::from_fn(|i| low.1[i] + (high.1[i] - low.1[i]) * share)
        }
        (Some(&known), _) | (_, Some(&known)) => known.1,
        (None, None) => [0.0; 3],
    }
}

#[cfg(test)]
mod tests {
    use colour::{Primaries, primaries};

    use super::*;

    /// Displays that the transform is published for, and ends of the scale. BT.2020 has a corner a tenth of a degree from
    /// one of AP1's.
    const DISPLAYS: [(f64, Primaries); 9] = [
        (100.0, primaries::BT709),
        (100.0, primaries::P3_D65),
        (100.0, primaries::BT2020),
        (500.0, primaries::BT2020),
        (1000.0, primaries::P3_D65),
        (2000.0, primaries::BT2020),
        (4000.0, primaries::P3_D65),
        (4000.0, primaries::BT2020),
        (10_000.0, primaries::BT709),
    ];

    #[test]
    fn cells_are_the_standards_tables() {
        for (peak, limit) in DISPLAYS {
            let transform = Aces2::new(peak, &limit);
            let (most_j, table) = (transform.gamut().most_j, table(&transform));
            let missed = exponent_missed(&transform);
            assert!(missed < 5e-4 && (limit != primaries::P3_D65 || missed < 1e-12), "{peak} {}: {missed}", limit.name);
            for step in 0..36_000 {
                let hue = f64::from(step) / 100.0;
                let upper = transform.cusp_table().partition_point(|cusp| cusp.hue < hue).max(1);
                let (low, high) = (transform.cusp_table()[upper - 1], transform.cusp_table()[upper]);
                let cusp = Cusp::between(low, high, (hue - low.hue) / (high.hue - low.hue));
                let reach = &transform.reach_table()[hue as usize + 1..];
                let reached = reach[0] + (reach[1] - reach[0]) * hue.fract();
                let turn = hue / CELL_DEGREES;
                let cell = &table[turn as usize * ENTRIES..][..ENTRIES];
                let by = turn - cell[0];
                let slopes = if by < 0.0 { &cell[4..7] } else { &cell[7..10] };
                let found = [0, 1, 2].map(|i| cell[1 + i] + by * slopes[i]);
                // A dropped bend is slight in lightness and colourfulness.
                let near = |found: f64, wanted: f64, by: f64| (found - wanted).abs() < by;
                let holds = near(found[0], cusp.j / most_j, 1e-12 + 0.1 * missed)
                    && near(found[1], cusp.m / most_j, 1e-12 + 0.1 * missed)
                    && near(found[2], cusp.upper_exponent, 1e-12 + 1.1 * missed)
                    && near(cell[10] + by * cell[11], reached / most_j, 1e-12);
                assert!(holds, "{peak} {} at {hue}: {found:?} for {cusp:?}", limit.name);
            }
        }
    }
}
