//! A light trap: a black box of 120 mm with a round mouth in its front, in which no light is found again; its origin is the middle of its foot.

use crate::material::BLACK;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A light trap: a black box of 120 mm with a round mouth in its front, in which no light is found again; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trap {
    place: Place,
}

impl Trap {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of the mouth.
    pub fn mouth(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.06, 0.06))
    }

    /// Half the width of a mark within the mouth, in metres.
    pub const MOUTH_HALF: f64 = 0.018;
}

impl Shape for Trap {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.06, 0.0, -0.06), most: v3(0.06, 0.12, 0.06) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, 0.06, 0.0), v3(0.06, 0.06, 0.06), 0.005)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(BLACK, normal)
    }
}
