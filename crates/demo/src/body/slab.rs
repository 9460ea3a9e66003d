//! Plain built things: painted blocks and planks of wood.

use crate::material::{Material, OAK, OAK_DARK};
use crate::space::{Bounds, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// A painted block with rounded edges.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Slab {
    bounds: Bounds,
    rounding: f64,
    paint: Material,
    shades: bool,
}

impl Slab {
    /// A block that fills a box, its edges rounded by so many metres.
    pub fn new(bounds: Bounds, rounding: f64, paint: Material) -> Self {
        Self { bounds, rounding, paint, shades: true }
    }

    /// The same, which throws no shadow: for walls and floors behind everything.
    pub fn behind(self) -> Self {
        Self { shades: false, ..self }
    }
}

impl Shape for Slab {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        distance::block(p - self.bounds.centre(), self.bounds.half(), self.rounding)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(self.paint, normal)
    }
    fn shades(&self) -> bool {
        self.shades
    }
}

/// Oak planks that run along x, each `wide` metres in z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planks {
    bounds: Bounds,
    wide: f64,
}

impl Planks {
    /// Planks that fill a box.
    pub fn new(bounds: Bounds, wide: f64) -> Self {
        Self { bounds, wide }
    }
}

impl Shape for Planks {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        distance::block(p - self.bounds.centre(), self.bounds.half(), 0.004)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let plank = (p.z / self.wide).floor();
        let lines = grain(71, v3(p.x * 1.2 + 7.0 * plank, p.y * 8.0, p.z * 26.0));
        Surface::of(OAK, normal).mixed(OAK_DARK, smooth(0.35, 0.75, lines)).glossy(0.03, 20.0)
    }
}
