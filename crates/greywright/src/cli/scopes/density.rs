//! From counts to pixels: every cell of a scope is seen, and equal amounts look equal.

use std::ops::Range;

use measure::scopes::{Counts, Region, Scope as _, Waveform, WaveformOf, intensity};

use crate::draw::Ink;

/// A waveform of so many pixels across and up; as a parade with the channels side by side, each a third as wide.
pub fn waveform(scope: &Waveform, counts: &Counts, region: Region, [across, down]: [u32; 2], parade: bool) -> Vec<Ink> {
    let widths = column_widths(scope, region);
    let mut pixels = Vec::with_capacity((across * down) as usize);
    for y in 0..down {
        let rows = cells_of(down - 1 - y, down, scope.axis().bins());
        for x in 0..across {
            let channels = scope.of() == WaveformOf::Channels;
            let third = across / 3;
            let (at, of) = if channels && parade { (x % third, third) } else { (x, across) };
            let columns = cells_of(at, of, counts.shape().columns);
            let share = |plane: u32| column_share(scope, counts, region, plane, &columns, &rows, &widths);
            pixels.push(match (channels, parade) {
                (false, _) => Ink::grey(share(0)),
                (true, false) => Ink::together([0, 1, 2].map(share)),
                (true, true) => {
                    Ink::together([0, 1, 2].map(|plane| if plane == x / third { share(plane) } else { 0.0 }))
                }
            });
        }
    }
    let columns = counts.shape().columns * if parade { 3 } else { 1 };
    with_strays_seen(&pixels, across, [across.div_ceil(columns.max(1)), down.div_ceil(scope.axis().bins())])
}

/// A square grid of `bins` a side on a square of `side` pixels, without hue.
pub fn grid(counts: &Counts, bins: u32, side: u32, region: Region) -> Vec<Ink> {
    let mut pixels = Vec::with_capacity((side * side) as usize);
    for y in 0..side {
        let rows = cells_of(side - 1 - y, side, bins);
        for x in 0..side {
            let cells = cells_of(x, side, bins).flat_map(|column| rows.clone().map(move |row| (column, row)));
            let sum: u32 = cells.map(|(column, row)| counts.at(0, column + 1, row + 1)).sum();
            pixels.push(Ink::grey(intensity(sum, region.pixels())));
        }
    }
    with_strays_seen(&pixels, side, [side.div_ceil(bins); 2])
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
fn with_strays_seen(pixels: &[Ink], across: u32, cell: [u32; 2]) -> Vec<Ink> {
    let [wide, high] = cell.map(|side| side as usize);
    let across = across as usize;
    let down = pixels.len() / across.max(1);
    let mut seen = pixels.to_vec();
    if wide * high >= FOUND {
        return seen;
    }
    let lit = |x: usize, y: usize| pixels.get(y * across + x).is_some_and(|ink| *ink != Ink::BLACK);
    for y in 0..down {
        for x in (0..across).filter(|x| lit(*x, y)) {
            let columns = x.saturating_sub(wide)..(x + wide + 1).min(across);
            let rows = y.saturating_sub(high)..(y + high + 1).min(down);
            let around = rows.flat_map(|row| columns.clone().map(move |column| (column, row)));
            if around.filter(|(column, row)| lit(*column, *row)).count() > wide * high {
                continue;
            }
            let ink = pixels.get(y * across + x).copied().unwrap_or(Ink::BLACK);
            // Out of the picture on the left or above wraps to where no row or column is.
            for (column, row) in [(x.wrapping_sub(1), y), (x + 1, y), (x, y.wrapping_sub(1)), (x, y + 1)] {
                if column < across
                    && row < down
                    && !lit(column, row)
                    && let Some(pixel) = seen.get_mut(row * across + column)
                {
                    *pixel = ink;
                }
            }
        }
    }
    seen
}

#[cfg(test)]
mod tests {
    use super::*;
    use frame::Size;
    use measure::scopes::{Axis, STRAY, count};

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

    #[test]
    fn a_stray_pixel_is_seen_and_a_flat_picture_is_drawn_flat() {
        // 1000 columns into 660: some hold two of them, some one.
        let size = Size::new(1000, 40);
        let region = Region::whole(size).unwrap();
        let scope = Waveform::new(WaveformOf::Channels, Axis::signal(-0.1, 1.1, 512), 660, region);
        let mut picture = vec![[0.51, 0.51, 0.51, 1.0]; size.pixels()];
        picture[7 * 1000 + 300] = [0.9, 0.51, 0.51, 1.0];
        let counts = count(&scope, &picture, size, region, region).unwrap();
        let pixels = waveform(&scope, &counts, region, [660, 512], false);
        let row = |value: f64| 511 - scope.axis().position(value) as usize;
        let flat: Vec<u8> = pixels[row(0.51) * 660..][..660].iter().map(|ink| ink.0[1]).collect();
        assert!(flat.iter().all(|code| *code >= 250), "{flat:?}");
        let stray = pixels[row(0.9) * 660 + 300 * 660 / 1000];
        // Red alone, at the intensity of one pixel, with its neighbours.
        assert_eq!(f64::from(stray.0[0]), (STRAY * 255.0).round());
        assert!(stray.0[1] < stray.0[0] && pixels.iter().filter(|ink| **ink == stray).count() == 5);
        let parade = waveform(&scope, &counts, region, [660, 512], true);
        let of = |third: usize| parade[row(0.9) * 660 + third * 220..][..220].iter().any(|ink| *ink != Ink::BLACK);
        assert!(of(0) && !of(1) && !of(2));
    }
}
