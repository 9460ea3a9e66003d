//! A rolled sea chart.

use crate::material::{CREAM_SHADE, PAPER, ROPE};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A rolled chart tied with cord, 520 mm long along x, 52 mm thick; its origin is the middle of what it lies on.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Roll {
    place: Place,
}

/// Half its length, and half its thickness, in metres.
const HALF: f64 = 0.26;
const THICK: f64 = 0.026;

impl Roll {
    /// Lying at a place.
    pub fn lying(place: Place) -> Self {
        Self { place }
    }

    /// The paper: a tube whose turns show at its ends, and the outer edge that stands off a little.
    fn paper(q: Vec3) -> f64 {
        let (y, z) = (q.y - THICK, q.z);
        let r = y.leg(z);
        let ends = q.x.abs() - HALF + 0.003 * (r / THICK);
        let tube = (r - 0.5 * (THICK + 0.009)).abs() - 0.5 * (THICK - 0.009);
        let flap = 0.9 * ((y - 0.0185 - 5.5 * (z - 0.012) * (z - 0.012)).abs() - 0.0006).max((z - 0.018).abs() - 0.016);
        tube.min(flap).max(0.9 * ends)
    }

    fn cord(q: Vec3) -> f64 {
        let r = (q.y - THICK).leg(q.z);
        (r - THICK - 0.0008).leg(((q.x - 0.035).abs() - 0.0028).abs() - 0.0002) - 0.002
    }
}

impl Shape for Roll {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-HALF, -0.003, -0.03), most: v3(HALF, 0.056, 0.036) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        Self::paper(q).min(Self::cord(q))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if Self::cord(q) < Self::paper(q) {
            return Surface::of(ROPE, normal);
        }
        let r = (q.y - THICK).leg(q.z);
        let turn = if q.x.abs() > HALF - 0.004 { 0.4 * smooth(0.6, 1.0, (r / 0.0022).rem_euclid(1.0)) } else { 0.0 };
        let worn = 0.22 * uneven(181, q * 24.0) + 0.25 * smooth(HALF - 0.03, HALF, q.x.abs());
        let bend = v3(0.0, uneven(182, v3(q.x * 8.0, q.y * 60.0, q.z * 60.0)) - 0.5, 0.0) * 0.1;
        let surface = Surface::of(PAPER, normal).mixed(CREAM_SHADE, 0.08 + turn + worn).bent(bend);
        Surface { soft: 0.08, ..surface.glossy(0.02, 8.0) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_lies_on_its_place() {
        let roll = Roll::lying(Place::at(v3(0.0, 0.9, 0.0)));
        assert!(roll.distance(v3(-0.1, 0.9, 0.0), 0.0).abs() < 1e-9);
        assert!(roll.distance(v3(-0.1, 0.9 + 2.0 * THICK, 0.0), 0.0).abs() < 1e-9);
    }
}
