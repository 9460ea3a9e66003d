//! The standard's tables over hue as the GPU reads them.
//!
//! The cusps' table bends at each of its entries, at hues that are a degree apart or about so. The GPU's has a cell for each
//! half degree, so that a hue finds its cell without a search. A cell holds where the lines bend in it and the lines on both
//! sides, so that it is the standard's own table to the rounding of f32. Where both gamuts have a corner, two bends can be a
//! tenth of a degree apart: the cells begin at such a hue that a border parts them.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use colour::aces2::Aces2;
use colour::aces2::gamut::Cusp;

/// Cells to the degree.
const CELLS_A_DEGREE: f64 = 2.0;
/// Cells: a turn, and one more as the first one begins before hue 0.
const CELLS: usize = 721;
/// Numbers in each.
const ENTRIES: usize = 10;

/// Both tables for one transform.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Hues {
    /// How much of the first cell lies before hue 0, in cells.
    pub before: f64,
    /// What AP1 reaches at each whole degree from 0 to 360, as shares of the peak's lightness; then the cells.
    pub table: Vec<f64>,
    /// By how much the cells miss a cusp at the most: nothing, unless no hue to begin at parts all bends.
    pub missed: f64,
}

/// A cusp: its place in cells, its lightness and colourfulness as shares of the peak's lightness, its upper exponent.
type Bend = (f64, [f64; 3]);

impl Hues {
    /// The tables of a transform.
    pub fn new(transform: &Aces2) -> Hues {
        let most_j = transform.gamut().most_j;
        let shares = |cusp: &Cusp| [cusp.j / most_j, cusp.m / most_j, cusp.upper_exponent];
        // The hues once, and both ends again on the other side: cells may begin before 0 and end after 360.
        let nominal = transform.cusp_table().iter().filter(|cusp| (0.0..360.0).contains(&cusp.hue));
        let turned = |by: f64| nominal.clone().map(move |cusp| ((cusp.hue + by) * CELLS_A_DEGREE, shares(cusp)));
        let near = |bend: &Bend| (-4.0..360.0 * CELLS_A_DEGREE + 4.0).contains(&bend.0);
        let cusps: Vec<Bend> = [-360.0, 0.0, 360.0].into_iter().flat_map(turned).filter(near).collect();
        let reach: Vec<f64> = transform.reach_table().iter().skip(1).map(|m| m / most_j).collect();
        let close = cusps.windows(2).filter_map(|two| match two {
            [(low, _), (high, _)] if high - low < 1.0 => Some(1.0 - (0.5 * (low + high)).rem_euclid(1.0)),
            _ => None,
        });
        let tried = std::iter::once(0.5).chain(close).map(|before| Hues::beginning(before, &reach, &cusps));
        tried.min_by(|a, b| a.missed.total_cmp(&b.missed)).unwrap_or(Hues { before: 0.0, table: reach, missed: 0.0 })
    }

    fn beginning(before: f64, reach: &[f64], cusps: &[Bend]) -> Hues {
        let cells: Vec<[f64; ENTRIES]> = (0..CELLS).map(|number| cell(number as f64 - before, cusps)).collect();
        let missed = |(place, wanted): &Bend| {
            let at = place + before;
            let found = at_place(cells.get(at as usize)?, at.fract());
            Some((0..3).map(|i| (found[i] - wanted[i]).abs()).fold(0.0, f64::max))
        };
        let turn = |bend: &&Bend| bend.0 >= 0.0 && bend.0 <= 360.0 * CELLS_A_DEGREE;
        let missed = cusps.iter().filter(turn).filter_map(missed).fold(0.0, f64::max);
        Hues { before, table: reach.iter().copied().chain(cells.into_iter().flatten()).collect(), missed }
    }
}

/// A cell that begins at a place: how far into it the lines bend, the cusp there, its slopes before and after. Of several
/// bends the sharpest.
fn cell(low: f64, cusps: &[Bend]) -> [f64; ENTRIES] {
    let high = low + 1.0;
    let inside = cusps.windows(3).filter_map(|three| match three {
        [before, bend, after] if low < bend.0 && bend.0 < high => {
            let (left, right) = (slope(*before, *bend), slope(*bend, *after));
            Some(((0..3).map(|i| (right[i] - left[i]).abs()).fold(0.0, f64::max), bend.0))
        }
        _ => None,
    });
    let bend = inside.max_by(|a, b| a.0.total_cmp(&b.0)).map_or(low + 0.5, |(_, place)| place);
    let [start, middle, end] = [low, bend, high].map(|place| (place, between(cusps, place)));
    let ([before_j, before_m, before_e], [after_j, after_m, after_e]) = (slope(start, middle), slope(middle, end));
    let [j, m, exponent] = middle.1;
    [bend - low, j, m, exponent, before_j, before_m, before_e, after_j, after_m, after_e]
}

/// What a cell says of a place in it.
fn at_place(cell: &[f64; ENTRIES], place: f64) -> [f64; 3] {
    let &[bend, j, m, exponent, before_j, before_m, before_e, after_j, after_m, after_e] = cell;
    let by = place - bend;
    let slopes = if by < 0.0 { [before_j, before_m, before_e] } else { [after_j, after_m, after_e] };
    std::array::from_fn(|i| [j, m, exponent][i] + by * slopes[i])
}

fn slope(from: Bend, to: Bend) -> [f64; 3] {
    std::array::from_fn(|i| (to.1[i] - from.1[i]) / (to.0 - from.0))
}

/// What a table of straight lines is at a place; beyond its ends, its ends.
fn between(table: &[Bend], place: f64) -> [f64; 3] {
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
    use colour::primaries;

    use super::*;

    #[test]
    fn cells_are_the_standards_table() {
        for peak_nits in [100.0, 108.0, 203.0, 300.0, 500.0, 600.0, 1000.0, 2000.0, 4000.0, 10_000.0] {
            for limit in [primaries::BT709, primaries::P3_D65, primaries::BT2020] {
                let transform = Aces2::new(peak_nits, &limit);
                let hues = Hues::new(&transform);
                let most_j = transform.gamut().most_j;
                println!("{peak_nits} {}: {:.1e} missed", limit.name, hues.missed);
                assert!(hues.missed < 1e-4);
                for step in 0..=36_000 {
                    let hue = f64::from(step) / 100.0;
                    let upper = transform.cusp_table().partition_point(|cusp| cusp.hue < hue).max(1);
                    let (low, high) = (transform.cusp_table()[upper - 1], transform.cusp_table()[upper]);
                    let cusp = Cusp::between(low, high, (hue - low.hue) / (high.hue - low.hue));
                    let at = hue * CELLS_A_DEGREE + hues.before;
                    let cell = &hues.table[361 + ENTRIES * at as usize..][..ENTRIES];
                    let found = at_place(cell.try_into().expect("a cell"), at.fract());
                    let wanted = [cusp.j / most_j, cusp.m / most_j, cusp.upper_exponent];
                    let near = (0..3).all(|i| (found[i] - wanted[i]).abs() < 1e-12 + 1.1 * hues.missed);
                    assert!(near, "{peak_nits} {} at {hue}: {found:?} for {wanted:?}", limit.name);
                }
                let reach = transform.reach_table()[1..].iter().map(|m| m / most_j);
                assert!(hues.table.iter().zip(reach).all(|(found, wanted)| *found == wanted));
            }
        }
    }
}
