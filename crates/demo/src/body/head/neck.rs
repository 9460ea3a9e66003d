//! The neck, in the body's axes: it stays while the head turns. In millimetres, from the pit of the neck.

use super::face::folded;
use crate::space::{Vec3, distance, v3};

/// Distance to the neck; `wide` is how much thicker it is than the mate's.
pub fn neck(p: Vec3, wide: f64) -> f64 {
    let column = distance::limb(p, v3(0.0, -55.0, -26.0), v3(0.0, 112.0, -10.0), 56.0 + wide, 49.0 + wide);
    if column > 30.0 {
        return column - 12.0;
    }
    let q = folded(p);
    // The strap that runs from behind the ear to the pit of the neck, and the larynx.
    let strap = distance::limb(q, v3(54.0 + wide, 100.0, -6.0), v3(13.0, -8.0, 34.0), 9.0, 6.0);
    let d = distance::joined(column, strap, 16.0);
    let larynx = distance::ellipsoid(p - v3(0.0, 52.0, 38.0), v3(10.0, 14.0, 13.0));
    distance::joined(d, larynx, 14.0)
}
