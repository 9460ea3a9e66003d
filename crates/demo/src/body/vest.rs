//! An orange life vest on a hook or on a body: 420 mm wide, 520 mm high, its front to +z; its origin is the middle between the shoulders.

use crate::material::VEST;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// An orange life vest on a hook or on a body: 420 mm wide, 520 mm high, its front to +z; its origin is the middle between the shoulders.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vest {
    place: Place,
}

impl Vest {
    /// Hanging at a place, thin, against a wall.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }

    /// A plain orange place of the front, for a mark.
    pub fn orange(&self) -> Vec3 {
        self.place.outward(v3(0.1, -0.18, 0.06))
    }
}

impl Shape for Vest {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.24, -0.55, -0.1), most: v3(0.24, 0.08, 0.16) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, -0.25, 0.0), v3(0.2, 0.26, 0.05), 0.03)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(VEST, normal)
    }
}
