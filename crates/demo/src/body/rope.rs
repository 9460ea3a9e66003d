//! A coil of tan rope on a hook, 300 mm across and 450 mm high, its front to +z, swinging with the ship; its origin is the hook.

use crate::material::ROPE;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A coil of tan rope on a hook, 300 mm across and 450 mm high, its front to +z, swinging with the ship; its origin is the hook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rope {
    place: Place,
    sway: f64,
}

impl Rope {
    /// Hanging from a hook; `sway` is the swing to each side in radians, 0 for a rope at rest.
    pub fn hanging(place: Place, sway: f64) -> Self {
        Self { place, sway }
    }
}

impl Shape for Rope {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.24, -0.48, -0.06), most: v3(0.24, 0.04, 0.08) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, -0.22, 0.0), v3(0.15, 0.22, 0.04), 0.03)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(ROPE, normal)
    }
}
