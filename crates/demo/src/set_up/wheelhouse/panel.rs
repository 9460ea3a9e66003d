//! A board painted in the grey that parts from the card beside it under the tubes.

use crate::material::{Material, STEEL};
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A painted board, 90 by 150 mm, upright, its face to +z; its origin is the middle of its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Panel {
    place: Place,
    paint: Material,
}

const HALF: Vec3 = v3(0.045, 0.075, 0.006);

impl Panel {
    /// Standing at a place.
    pub fn standing(place: Place, paint: Material) -> Self {
        Self { place, paint }
    }

    /// The middle of its face.
    pub fn face(&self) -> Vec3 {
        self.place.outward(v3(0.0, HALF.y, HALF.z))
    }

    /// Half the width of a mark on its face, in metres.
    pub const FACE_HALF: f64 = 0.03;
}

impl Shape for Panel {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds::around(v3(0.0, HALF.y, 0.0), HALF))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        distance::block(self.place.inward(p) - v3(0.0, HALF.y, 0.0), HALF, 0.002)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        // Bare metal along the edge, where no brush went.
        let edge = (HALF.x - q.x.abs()).min(HALF.y - (q.y - HALF.y).abs()) < 0.003;
        Surface { even: true, ..Surface::of(if edge { STEEL } else { self.paint }, normal) }
    }
}
