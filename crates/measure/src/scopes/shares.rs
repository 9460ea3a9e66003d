//! From counts to shares of light: every cell of a scope is seen, and equal amounts look equal.

use std::ops::Range;

use super::{Counts, Region, Scope as _, Waveform, WaveformOf, intensity};

/// A waveform of so many pixels across and up, row by row from the top: what red, green and blue have of full intensity, 0 to 1,
/// all three alike where it counts one sum. As a parade the channels stand side by side, each a third as wide.
pub fn waveform_shares(
    scope: &Waveform,
    counts: &Counts,
    region: Region,
    [across, down]: [u32; 2],
    parade: bool,
) -> Vec<[f64; 3]> {
    let widths = column_widths(scope, region);
    let mut pixels = Vec::with_capacity(across as usize * down as usize);
    for y in 0..down {
        let rows = cells_of(down - 1 - y, down, scope.axis().bins());
        for x in 0..across {
            let channels = scope.of() == WaveformOf::Channels;
            let third = (across / 3).max(1);
            let (at, of) = if channels && parade { (x % third, third) } else { (x, across) };
            let columns = cells_of(at, of, counts.shape().columns);
            let share = |plane: u32| column_share(scope, counts, region, plane, &columns, &rows, &widths);
            pixels.push(match (channels, parade) {
                (false, _) => [share(0); 3],
                (true, false) => [0, 1, 2].map(share),
                (true, true) => [0, 1, 2].map(|plane| if plane == x / third { share(plane) } else { 0.0 }),
            });
        }
    }
    let columns = counts.shape().columns * if parade { 3 } else { 1 };
    with_strays_seen(&pixels, across, [across.div_ceil(columns.max(1)), down.div_ceil(scope.axis().bins())])
}

/// A square grid of `bins` a side on so many pixels across and down, row by row from the top: shares of full intensity, 0 to 1.
pub fn grid_shares(counts: &Counts, bins: u32, [across, down]: [u32; 2], region: Region) -> Vec<f64> {
    let mut pixels = Vec::with_capacity(across as usize * down as usize);
    for y in 0..down {
        let rows = cells_of(down - 1 - y, down, bins);
        for x in 0..across {
            let cells = cells_of(x, across, bins).flat_map(|column| rows.clone().map(move |row| (column, row)));
            let sum: u32 = cells.map(|(column, row)| counts.at(0, column + 1, row + 1)).sum();
            pixels.push(intensity(sum, region.pixels()));
        }
    }
    with_strays_seen(&pixels, across, [across, down].map(|side| side.div_ceil(bins.max(1))))
}

/// The cells that pixel `at` of `of` shows: some, or one that its neighbours show too.
pub fn cells_of(at: u32, of: u32, cells: u32) -> Range<u32> {
    let edge = |at: u32| (u64::from(at) * u64::from(cells) / u64::from(of.max(1))) as u32;
    let first = edge(at);
    first..edge(at + 1).max(first + 1)
}

/// The intensity of some cells of a waveform together. Columns of more of the picture's columns than others are
/// made like them, so that a flat picture is drawn flat.
fn column_share(
    scope: &Waveform,
    counts: &Counts,
    region: Region,
    plane: u32,
    columns: &Range<u32>,
    rows: &Range<u32>,
    widths: &[u32],
) -> f64 {
    let cells = columns.clone().flat_map(|column| rows.clone().map(move |row| (column, row)));
    let sum: u64 = cells.map(|(column, row)| u64::from(counts.at(plane, column, row + 1))).sum();
    if sum == 0 {
        return 0.0;
    }
    let has: u64 = columns.clone().filter_map(|at| widths.get(at as usize)).map(|width| u64::from(*width)).sum();
    let most = scope.most(region) * u64::from(columns.end - columns.start);
    let full = has.max(1) * u64::from(region.height());
    let like = (sum as f64 * most as f64 / full as f64).round();
    // One pixel stays one, or it would be brighter in one column than in the next.
    intensity(if sum == 1 { 1 } else { like as u32 }, most)
}

/// How many columns of the region fall into each column of a waveform.
fn column_widths(scope: &Waveform, region: Region) -> Vec<u32> {
    let mut widths = vec![0; scope.shape().columns as usize];
    for x in 0..region.width() {
        if let Some(width) = widths.get_mut(scope.column(x) as usize) {
            *width += 1;
        }
    }
    widths
}

/// Pixels of a cell from which on it is found without help.
const FOUND: usize = 5;

/// A cell that stands alone is drawn a pixel larger on each side: one pixel of a picture must not be overlooked. `cell` is
/// how many pixels across and up show one cell.
fn with_strays_seen<T: Copy + Default + PartialEq>(pixels: &[T], across: u32, cell: [u32; 2]) -> Vec<T> {
    let [wide, high] = cell.map(|side| side as usize);
    let across = across as usize;
    let down = pixels.len() / across.max(1);
    let mut seen = pixels.to_vec();
    if wide * high >= FOUND {
        return seen;
    }
    let lit = |x: usize, y: usize| pixels.get(y * across + x).is_some_and(|share| *share != T::default());
    for y in 0..down {
        for x in (0..across).filter(|x| lit(*x, y)) {
            let columns = x.saturating_sub(wide)..(x + wide + 1).min(across);
            let rows = y.saturating_sub(high)..(y + high + 1).min(down);
            let around = rows.flat_map(|row| columns.clone().map(move |column| (column, row)));
            if around.filter(|(column, row)| lit(*column, *row)).count() > wide * high {
                continue;
            }
            let share = pixels.get(y * across + x).copied().unwrap_or_default();
            // Out of the picture on the left or above wraps to where no row or column is.
            for (column, row) in [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)] {
                if column < across
                    && row < down
                    && !lit(column, row)
                    && let Some(pixel) = seen.get_mut(row * across + column)
                {
                    *pixel = share;
                }
            }
        }
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cell_is_shown_by_some_pixel() {
        for (of, cells) in [(512, 1024), (512, 256), (220, 660), (660, 7), (539, 1077), (512, 512)] {
            let mut next = 0;
            for at in 0..of {
                let shown = cells_of(at, of, cells);
                assert!(
                    shown.start <= next && shown.end > shown.start && shown.end <= cells,
                    "{of} {cells}: {shown:?}"
                );
                next = next.max(shown.end);
            }
            assert_eq!(next, cells, "{of} {cells}");
        }
    }
}
