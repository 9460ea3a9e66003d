//! Bodies of the galley that have no room of their own: a distance, a surface and a box, each in the body's own axes.

use crate::space::{Bounds, Place, Vec3};
use crate::trace::{Halo, Shape, Surface};

/// A body of a distance and a surface. The surface gets the point in the body's axes and the normal in the scene's.
pub struct Solid<D, S> {
    place: Place,
    bounds: Bounds,
    halo: Option<Halo>,
    shades: bool,
    distance: D,
    surface: S,
}

impl<D, S> Solid<D, S>
where
    D: Fn(Vec3) -> f64 + Send + Sync + 'static,
    S: Fn(Vec3, Vec3) -> Surface + Send + Sync + 'static,
{
    /// At a place, within a box of its own axes.
    pub fn new(place: Place, own: Bounds, distance: D, surface: S) -> Self {
        Self { place, bounds: place.bounds(&own), halo: None, shades: true, distance, surface }
    }

    /// The same, which throws no shadow.
    pub fn behind(self) -> Self {
        Self { shades: false, ..self }
    }

    /// The same, with a glow about it.
    pub fn haloed(self, halo: Option<Halo>) -> Self {
        Self { halo, ..self }
    }

    /// Ready to stand in a scene.
    pub fn boxed(self) -> Box<dyn Shape> {
        Box::new(self)
    }
}

impl<D, S> Shape for Solid<D, S>
where
    D: Fn(Vec3) -> f64 + Send + Sync,
    S: Fn(Vec3, Vec3) -> Surface + Send + Sync,
{
    fn bounds(&self) -> Bounds {
        self.bounds
    }

    fn distance(&self, p: Vec3, _: f64) -> f64 {
        (self.distance)(self.place.inward(p))
    }

    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        (self.surface)(self.place.inward(p), normal)
    }

    fn halo(&self) -> Option<Halo> {
        self.halo
    }

    fn shades(&self) -> bool {
        self.shades
    }
}

/// A board out of frame that keeps a lamp off a part of the set; no eye sees it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Flag(pub Bounds);

impl Shape for Flag {
    fn bounds(&self) -> Bounds {
        self.0
    }

    fn distance(&self, p: Vec3, _: f64) -> f64 {
        crate::space::distance::block(p - self.0.centre(), self.0.half(), 0.0)
    }

    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface::of(crate::material::BLACK, normal)
    }

    fn seen(&self) -> bool {
        false
    }
}
