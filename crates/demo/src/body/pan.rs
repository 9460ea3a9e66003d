//! A copper pan that hangs on a wall by its handle, its outside to +z; 260 mm across, its origin is the middle of its bottom.

use crate::material::COPPER;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A copper pan that hangs on a wall by its handle, its outside to +z; 260 mm across, its origin is the middle of its bottom.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pan {
    place: Place,
}

impl Pan {
    /// Hanging at a place.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }
}

impl Shape for Pan {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.14, -0.14, -0.07), most: v3(0.14, 0.36, 0.03) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q, v3(0.13, 0.13, 0.03), 0.02)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface { metal: true, ..Surface::of(COPPER, normal).glossy(0.85, 80.0) }
    }
}
