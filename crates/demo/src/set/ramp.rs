//! The lit strip along the bottom: a smooth ramp in stops over a wedge of whole stops, of the key's own colour.

use super::Prop;
use super::look::{Lit, Look};
use crate::geometry::{Area, Point};
use crate::material::{SLATE, WHITE};

/// Stops from mid grey at the left edge.
pub const FIRST_STOP: f64 = -8.0;
/// Stops from mid grey at the right edge.
pub const LAST_STOP: f64 = 6.0;

const FRAME: Area = Area::new(0.55, 7.66, 14.9, 1.06);
/// The smooth half.
pub const SMOOTH: Area = Area::new(0.65, 7.75, 14.7, 0.44);
const WEDGE: Area = Area::new(0.65, 8.22, 14.7, 0.41);
/// Steps of the wedge, a stop each.
pub const STEPS: usize = 15;

/// One step of the wedge, 0..15 from the left, and its stops from mid grey.
pub fn step(index: usize) -> (Area, f64) {
    let width = (WEDGE.right - WEDGE.left) / STEPS as f64;
    (
        Area::new(WEDGE.left + width * index as f64, WEDGE.top, width, WEDGE.bottom - WEDGE.top),
        FIRST_STOP + index as f64,
    )
}

/// The strip in its frame.
pub struct Ramp;

impl Prop for Ramp {
    fn area(&self) -> Area {
        FRAME
    }
    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let share = (p.x - SMOOTH.left) / (SMOOTH.right - SMOOTH.left);
        let stops = if SMOOTH.holds(p) {
            FIRST_STOP + share * (LAST_STOP - FIRST_STOP)
        } else if WEDGE.holds(p) {
            FIRST_STOP + (share * STEPS as f64).floor()
        } else {
            let down = if p.y < FRAME.top + 0.04 { -0.6 } else { 0.0 };
            return Some(Look::of(SLATE).facing([0.0, down, 1.0]).open(0.8));
        };
        Some(Look::of(WHITE).lit(Lit::Own(0.18 * stops.exp2())))
    }
    fn outline(&self, p: Point, _: f64) -> f64 {
        FRAME.distance(p)
    }
    fn depth(&self) -> f64 {
        0.0
    }
}
