//! The grey card and the chart of 24 patches, both leaning on the bench in slate frames, flat to the camera.

use super::look::Look;
use super::{FOOT, Prop};
use crate::geometry::{Area, Point, at, rounded_box, uneven};
use crate::material::{CARD, Material, SLATE};

/// Patches in a row of the chart.
const COLUMNS: usize = 6;
/// Rows of the chart.
const ROWS: usize = 4;

const PITCH: f64 = 0.62;
const PATCH: f64 = 0.53;
const FRAME: f64 = 0.16;

/// The slate around card and chart: split stone with a worn edge.
fn frame(area: &Area, p: Point) -> Look {
    let edge = -area.distance(p);
    let split = uneven(51, at(p.x * 6.0, p.y * 14.0));
    let tilt = if edge < 0.05 { 0.5 } else { 0.0 };
    let sideways = if p.x < area.left + 0.05 {
        -tilt
    } else if p.x > area.right - 0.05 {
        tilt
    } else {
        0.0
    };
    let upright = if p.y < area.top + 0.05 {
        -tilt
    } else if p.y > area.bottom - 0.05 {
        tilt
    } else {
        0.0
    };
    Look::of(SLATE).facing([sideways, upright + 0.12 * (split - 0.5), 1.0]).open(0.8 + 0.2 * split).glossy(0.02, 6.0)
}

/// Shared silhouette of the two.
fn outline(area: &Area, p: Point) -> f64 {
    let centre = at((area.left + area.right) / 2.0, (area.top + area.bottom) / 2.0);
    rounded_box(p.from(centre), (area.right - area.left) / 2.0, (area.bottom - area.top) / 2.0, 0.04)
}

fn footing(area: &Area) -> Option<(f64, f64)> {
    Some(((area.left + area.right) / 2.0, (area.right - area.left) / 2.0))
}

/// A card of 18 % grey.
#[derive(Debug, Clone, Copy)]
pub struct Card(Area);

impl Card {
    /// Standing on the bench with its left edge at `left`.
    pub fn standing(left: f64) -> Self {
        Self(Area::new(left, FOOT - 2.45, 2.05, 2.45))
    }

    /// The grey itself.
    pub fn face(&self) -> Area {
        self.0.grown(-FRAME)
    }
}

impl Prop for Card {
    fn area(&self) -> Area {
        self.0
    }
    fn look(&self, p: Point, _: f64) -> Option<Look> {
        if outline(&self.0, p) > 0.0 {
            return None;
        }
        Some(if self.face().holds(p) { Look::of(CARD) } else { frame(&self.0, p) })
    }
    fn outline(&self, p: Point, _: f64) -> f64 {
        outline(&self.0, p)
    }
    fn depth(&self) -> f64 {
        0.35
    }
    fn footing(&self) -> Option<(f64, f64)> {
        footing(&self.0)
    }
}

/// The chart: four rows of six.
#[derive(Debug, Clone, Copy)]
pub struct Chart(Area);

impl Chart {
    /// Standing on the bench with its left edge at `left`.
    pub fn standing(left: f64) -> Self {
        let width = PITCH * COLUMNS as f64 + 2.0 * FRAME - (PITCH - PATCH);
        let height = PITCH * ROWS as f64 + 2.0 * FRAME - (PITCH - PATCH);
        Self(Area::new(left, FOOT - height, width, height))
    }

    /// Patch `index`, row by row from the top left.
    pub fn patch(&self, index: usize) -> Area {
        let (column, row) = ((index % COLUMNS) as f64, (index / COLUMNS) as f64);
        Area::new(self.0.left + FRAME + column * PITCH, self.0.top + FRAME + row * PITCH, PATCH, PATCH)
    }
}

impl Prop for Chart {
    fn area(&self) -> Area {
        self.0
    }
    fn look(&self, p: Point, _: f64) -> Option<Look> {
        if outline(&self.0, p) > 0.0 {
            return None;
        }
        let column = ((p.x - self.0.left - FRAME) / PITCH).floor();
        let row = ((p.y - self.0.top - FRAME) / PITCH).floor();
        if (0.0..COLUMNS as f64).contains(&column) && (0.0..ROWS as f64).contains(&row) {
            let index = row as usize * COLUMNS + column as usize;
            if self.patch(index).holds(p) {
                return Some(Look::of(Material::patch(index)));
            }
        }
        Some(frame(&self.0, p))
    }
    fn outline(&self, p: Point, _: f64) -> f64 {
        outline(&self.0, p)
    }
    fn depth(&self) -> f64 {
        0.35
    }
    fn footing(&self) -> Option<(f64, f64)> {
        footing(&self.0)
    }
}
