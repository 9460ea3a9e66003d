//! Herbs in a crate of pine, 340 mm wide, 120 mm high without the leaves; its origin is the middle of its foot.

use crate::material::LEAF;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// Herbs in a crate of pine, 340 mm wide, 120 mm high without the leaves; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Herbs {
    place: Place,
}

impl Herbs {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// A point of the leaves, seen from the front, for a mark.
    pub fn leaves(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.15, 0.1))
    }
}

impl Shape for Herbs {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.2, 0.0, -0.13), most: v3(0.2, 0.3, 0.13) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, 0.1, 0.0), v3(0.17, 0.1, 0.1), 0.005)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(LEAF, normal)
    }
}
