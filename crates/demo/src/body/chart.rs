//! The chart of 24 patches in a slate frame: 330 by 240 mm, upright, its face to +z; its origin is the middle of its lower edge.

use crate::material::Material;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// The chart of 24 patches in a slate frame: 330 by 240 mm, upright, its face to +z; its origin is the middle of its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chart {
    place: Place,
}

impl Chart {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of a patch, 0..24, row by row from the left upper one.
    pub fn patch(&self, index: usize) -> Vec3 {
        let (column, row) = ((index % 6) as f64, (index / 6) as f64);
        self.place.outward(v3((column - 2.5) * 0.05, 0.195 - row * 0.05, 0.01))
    }

    /// Half the width of a mark within a patch, in metres.
    pub const PATCH_HALF: f64 = 0.016;
}

impl Shape for Chart {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.165, 0.0, -0.01), most: v3(0.165, 0.24, 0.01) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, 0.12, 0.0), v3(0.165, 0.12, 0.01), 0.005)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface { even: true, ..Surface::of(Material::patch(3), normal) }
    }
}
