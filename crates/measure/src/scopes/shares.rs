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
    let parade = parade && scope.of() == WaveformOf::Channels;
    let planes: &[u32] = if scope.of() == WaveformOf::Channels { &[0, 1, 2] } else { &[0] };
    let third = if parade { (across / 3).max(1) } else { across };
    let columns: Vec<Column> = (0..across)
        .map(|x| Column::of(scope, region, &widths, cells_of(x % third, third, counts.shape().columns)))
        .collect();
    let mut pixels = Vec::with_capacity(across as usize * down as usize);
    for y in 0..down {
        let rows = cells_of(down - 1 - y, down, scope.axis().bins());
        let sums = planes.iter().map(|plane| line(counts, *plane, &rows)).collect::<Vec<_>>();
        let shares = |x: u32, column: &Column| match sums.as_slice() {
            [red, green, blue] if parade => {
                let mut shares = [0.0; 3];
                let of_third = [red, green, blue].into_iter().zip(&mut shares).nth((x / third) as usize);
                if let Some((sums, share)) = of_third {
                    *share = column.share(sums);
                }
                shares
            }
            [red, green, blue] => [red, green, blue].map(|sums| column.share(sums)),
            [one, ..] => [column.share(one); 3],
            [] => [0.0; 3],
        };
        pixels.extend((0..across).zip(&columns).map(|(x, column)| shares(x, column)));
    }
    let columns = counts.shape().columns * if parade { 3 } else { 1 };
    with_strays_seen(&pixels, across, [across.div_ceil(columns.max(1)), down.div_ceil(scope.axis().bins())])
}

/// A square grid of `bins` a side on so many pixels across and down, row by row from the top: shares of full intensity, 0 to 1.
pub fn grid_shares(counts: &Counts, bins: u32, [across, down]: [u32; 2], region: Region) -> Vec<f64> {
    // The slot in front holds what lies below the bins.
    let columns: Vec<_> =
        (0..across).map(|x| cells_of(x, across, bins)).map(|cells| cells.start + 1..cells.end + 1).collect();
    let mut pixels = Vec::with_capacity(across as usize * down as usize);
    for y in 0..down {
        let sums = line(counts, 0, &cells_of(down - 1 - y, down, bins));
        pixels.extend(columns.iter().map(|columns| intensity(sum_of(&sums, columns) as u32, region.pixels())));
    }
    with_strays_seen(&pixels, across, [across, down].map(|side| side.div_ceil(bins.max(1))))
}

/// The cells that pixel `at` of `of` shows: some, or one that its neighbours show too.
pub fn cells_of(at: u32, of: u32, cells: u32) -> Range<u32> {
    let edge = |at: u32| (u64::from(at) * u64::from(cells) / u64::from(of.max(1))) as u32;
    let first = edge(at);
    first..edge(at + 1).max(first + 1)
}

/// Some bins of a plane added up, column by column; bin 0 is in the row behind the slot for what lies below all bins.
fn line(counts: &Counts, plane: u32, bins: &Range<u32>) -> Vec<u64> {
    let mut sums = vec![0; counts.shape().columns as usize];
    for bin in bins.clone() {
        sums.iter_mut().zip(counts.row(plane, bin + 1)).for_each(|(sum, count)| *sum += u64::from(*count));
    }
    sums
}

fn sum_of(sums: &[u64], columns: &Range<u32>) -> u64 {
    sums.get(columns.start as usize..columns.end as usize).unwrap_or_default().iter().sum()
}

/// The columns of a waveform that a pixel shows.
struct Column {
    cells: Range<u32>,
    /// The most that they can count together.
    most: u64,
    /// What they count of a flat picture.
    full: u64,
}

impl Column {
    fn of(scope: &Waveform, region: Region, widths: &[u32], cells: Range<u32>) -> Self {
        let has = widths.get(cells.start as usize..cells.end as usize).unwrap_or_default();
        let has: u64 = has.iter().map(|width| u64::from(*width)).sum();
        let most = scope.most(region) * u64::from(cells.end - cells.start);
        Self { cells, most, full: has.max(1) * u64::from(region.height()) }
    }

    /// The intensity of its cells together. Columns of more of the picture's columns than others are made like them, so that a
    /// flat picture is drawn flat.
    fn share(&self, sums: &[u64]) -> f64 {
        match sum_of(sums, &self.cells) {
            0 => 0.0,
            // One pixel stays one, or it would be brighter in one column than in the next.
            1 => intensity(1, self.most),
            sum => intensity((sum as f64 * self.most as f64 / self.full as f64).round() as u32, self.most),
        }
    }
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
    let dark = T::default();
    let all_lit: Vec<bool> = pixels.iter().map(|share| *share != dark).collect();
    let lit = |x: usize, y: usize| all_lit.get(y * across + x).is_some_and(|lit| *lit);
    for y in 0..down {
        for x in (0..across).filter(|x| lit(*x, y)) {
            let columns = x.saturating_sub(wide)..(x + wide + 1).min(across);
            let rows = y.saturating_sub(high)..(y + high + 1).min(down);
            let around = rows.flat_map(|row| columns.clone().map(move |column| (column, row)));
            if around.filter(|(column, row)| lit(*column, *row)).nth(wide * high).is_some() {
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
