//! What the tracer relies on of every body, to be tried by the rooms that have bodies: distances never promise more room than
//! there is, and boxes hold their bodies.

use proptest::prelude::*;

use super::Shape;
use crate::space::{Bounds, Ray, Vec3, v3};

/// Bodies by name.
pub type Bodies = Vec<(&'static str, Box<dyn Shape>)>;

/// Shares of a box's sides, 0 to 1.
pub fn shares() -> impl Strategy<Value = [f64; 3]> {
    [0.0..1.0, 0.0..1.0, 0.0..1.0]
}

/// A point of a box by shares of its sides.
pub fn within(bounds: &Bounds, shares: [f64; 3]) -> Vec3 {
    let [x, y, z] = shares.map(|share| 2.0 * share - 1.0);
    bounds.centre() + bounds.half().times(v3(x, y, z))
}

/// Steps from about a body towards a point of its box, and looks on the way of every step whether it is in the body by more
/// than `allowed` metres.
pub fn steps_do_not_leap(
    bodies: &Bodies,
    ends: [[f64; 3]; 2],
    seconds: f64,
    allowed: f64,
) -> Result<(), TestCaseError> {
    for (name, body) in bodies {
        let bounds = body.bounds();
        let (start, end) = (within(&bounds.grown(0.1), ends[0]), within(&bounds, ends[1]));
        let ray = Ray { from: start, towards: (end - start).unit() };
        let mut metres = 0.0;
        for _ in 0..120 {
            let room = body.distance(ray.at(metres), seconds);
            if room < 2e-4 || metres > 6.0 {
                break;
            }
            for share in [0.25, 0.5, 0.75, 0.95] {
                let p = ray.at(metres + share * room);
                prop_assert!(body.distance(p, seconds) > -allowed, "{name}: {room} leaps into it at {p:?}");
            }
            metres += room;
        }
    }
    Ok(())
}

/// Looks at the places of all six sides of a body's box.
pub fn boxes_hold(bodies: &Bodies, [u, v]: [f64; 2], seconds: f64) -> Result<(), TestCaseError> {
    for (name, body) in bodies {
        let bounds = body.bounds().grown(5e-4);
        for at in [[0.0, u, v], [1.0, u, v], [u, 0.0, v], [u, 1.0, v], [u, v, 0.0], [u, v, 1.0]] {
            let p = within(&bounds, at);
            prop_assert!(body.distance(p, seconds) > 0.0, "{name} reaches beyond its box at {p:?}");
        }
    }
    Ok(())
}
