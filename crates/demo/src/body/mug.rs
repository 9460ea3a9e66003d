//! A white enamel mug with a blue rim, 85 mm high; its origin is the middle of its foot, the handle towards +x.

use crate::material::ENAMEL;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A white enamel mug with a blue rim, 85 mm high; its origin is the middle of its foot, the handle towards +x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mug {
    place: Place,
}

impl Mug {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }
}

impl Shape for Mug {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.045, 0.0, -0.045), most: v3(0.045, 0.085, 0.045) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, 0.0425, 0.0), v3(0.045, 0.0425, 0.045), 0.005)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(ENAMEL, normal).glossy(0.05, 90.0)
    }
}
