//! The neck, in the body's axes: it stays while the head turns. In millimetres, from the pit of the neck.

use super::face::folded;
use super::form::{Egg, Limb};
use crate::space::{Vec3, distance, v3};

const COLUMN: Limb = Limb::new(v3(0.0, -55.0, -26.0), v3(0.0, 104.0, -12.0), 55.0, 47.0);
/// The strap that runs from behind the ear to the pit of the neck.
const STRAP: Limb = Limb::new(v3(47.0, 108.0, -14.0), v3(14.0, -12.0, 22.0), 9.0, 5.0);
const LARYNX: Egg = Egg::new(v3(0.0, 48.0, 32.0), v3(7.0, 10.0, 11.0));

/// Where it ends, under any collar.
const FOOT: f64 = -60.0;

/// Distance to the neck; `wide` is how much thicker it is than the mate's.
pub fn neck(p: Vec3, wide: f64) -> f64 {
    let column = COLUMN.distance(p) - wide;
    let below = FOOT - p.y;
    if column > 30.0 {
        return (column - 12.0).max(below);
    }
    let d = distance::joined(column, STRAP.distance(folded(p)) - wide, 16.0);
    let d = if p.z < 0.0 { d } else { distance::joined(d, LARYNX.distance(p), 14.0) };
    d.max(below)
}
