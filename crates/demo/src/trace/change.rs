//! What of a picture is not as at its first moment.

use std::ops::Range;

use frame::Size;
use rayon::prelude::*;

use super::march::{Hit, Moment};
use super::plate::{Part, Plate, Raster, Runs, Sample, Window};
use super::scene::Scene;
use crate::space::{Bounds, View};

/// The pixels that show what moves, or did at first, or lie in its shadow, traced at another moment.
pub struct Change {
    /// Their places in the picture, counted row by row, from the first to the last.
    places: Vec<usize>,
    runs: Runs,
}

impl Change {
    /// Of a picture whose first moment is `first`, in `windows` that do not overlap ([`Plate::moving`]).
    pub fn of(scene: &Scene, view: &View, size: Size, windows: &[Window], first: &Plate, seconds: f64) -> Self {
        let raster = Raster { moment: Moment::of(scene, seconds), view, size };
        let shaded = scene.shaded();
        let mut rows: Vec<Row> =
            windows.iter().flat_map(|window| Field::of(&raster, window, first, &shaded).rows(&raster)).collect();
        rows.sort_by_key(|row| row.places.first().copied());
        // Windows beside each other share rows of the picture: what lies further left comes first.
        let places = rows.iter().flat_map(|row| row.places.iter().copied()).collect();
        Self { places, runs: Runs::of(rows.into_iter().map(|row| (row.counts, row.parts)).collect()) }
    }

    /// Of some places of the picture, counted row by row: those that changed, each with its parts.
    pub fn within(&self, places: Range<usize>) -> impl Iterator<Item = (usize, &[Part])> {
        let begin = self.places.partition_point(|place| *place < places.start);
        let end = self.places.partition_point(|place| *place < places.end);
        (begin..end).map(|at| (self.places[at], self.runs.pixel(at)))
    }
}

/// A row of a window: the pixels that changed.
struct Row {
    places: Vec<usize>,
    counts: Vec<u32>,
    parts: Vec<Part>,
}

/// Pixels around a window whose middles are asked too: the next for an edge between pixels, and theirs.
const AROUND: i64 = 2;

/// What the middles of a window's pixels meet.
struct Field {
    window: Window,
    hits: Vec<Vec<Option<Hit>>>,
    /// Whether a middle shows another thing than at first.
    changed: Vec<Vec<bool>>,
}

impl Field {
    fn of(raster: &Raster<'_>, window: &Window, first: &Plate, shaded: &[Bounds]) -> Self {
        let columns = -AROUND..i64::from(window.width) + AROUND;
        let shapes = &raster.moment.scene.shapes;
        let row = |y: i64| {
            let y = i64::from(window.y) + y;
            let of = |x: i64| {
                let x = i64::from(window.x) + x;
                let hit = raster.meet(x, y);
                let anew = |hit: Hit| {
                    shapes[hit.shape].moves() || shaded.iter().any(|bounds| bounds.distance(hit.place) <= 0.0)
                };
                (hit, first.moves(x, y) || hit.is_some_and(anew))
            };
            columns.clone().map(of).unzip()
        };
        let (hits, changed) = (-AROUND..i64::from(window.height) + AROUND).into_par_iter().map(row).unzip();
        Self { window: *window, hits, changed }
    }

    /// Whether a middle of the window or the row and column around it, or one within `reach` of it, changed.
    fn changed(&self, x: i64, y: i64, reach: i64) -> bool {
        let near =
            |at: i64, all: usize| (at + AROUND - reach).max(0) as usize..((at + AROUND + reach + 1) as usize).min(all);
        let columns = near(x, self.window.width as usize + 2 * AROUND as usize);
        self.changed[near(y, self.changed.len())].iter().any(|row| row[columns.clone()].contains(&true))
    }

    fn rows(&self, raster: &Raster<'_>) -> Vec<Row> {
        let (width, height) = (i64::from(self.window.width), i64::from(self.window.height));
        let (left, upper) = (i64::from(self.window.x), i64::from(self.window.y));
        let samples = |y: i64| -> Vec<Option<Sample>> {
            let hits = &self.hits[(y + AROUND) as usize];
            let sample = |x: i64| {
                let wanted = self.changed(x, y, 2);
                wanted.then(|| raster.centre_at(left + x, upper + y, hits[(x + AROUND) as usize]))
            };
            (-1..=width).map(sample).collect()
        };
        let samples: Vec<Vec<Option<Sample>>> = (-1..=height).into_par_iter().map(samples).collect();
        let row = |y: i64| {
            let mut row = Row { places: Vec::new(), counts: Vec::new(), parts: Vec::new() };
            for x in (0..width).filter(|x| self.changed(*x, y, 1)) {
                let of = |x: i64, y: i64| samples[(y + 1) as usize][(x + 1) as usize].as_ref();
                let (Some(own), Some(above), Some(below), Some(before), Some(after)) =
                    (of(x, y), of(x, y - 1), of(x, y + 1), of(x - 1, y), of(x + 1, y))
                else {
                    continue;
                };
                let parts = row.parts.len();
                raster.pixel(left + x, upper + y, own, [above, below, before, after], &mut row.parts);
                row.counts.push((row.parts.len() - parts) as u32);
                row.places.push((upper + y) as usize * raster.size.width as usize + (left + x) as usize);
            }
            row
        };
        (0..height).into_par_iter().map(row).collect()
    }
}
