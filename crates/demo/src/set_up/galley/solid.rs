//! Bodies of the galley that have no room of their own: a distance, a surface and a box, each in the body's own axes.

use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::{Shape, Surface};

/// Seconds of a swing to and fro, slow as in slow motion.
const PERIOD: f64 = 2.5;

/// A body of a distance and a surface. The surface gets the point in the body's axes and the normal in the scene's.
pub struct Solid<D, S> {
    place: Place,
    own: Bounds,
    bounds: Bounds,
    swing: f64,
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
        Self { place, own, bounds: place.bounds(&own), swing: 0.0, shades: true, distance, surface }
    }

    /// The same, which throws no shadow.
    pub fn behind(self) -> Self {
        Self { shades: false, ..self }
    }

    /// The same, which swings in its x, y plane about its origin, so many radians to each side.
    pub fn swinging(self, radians: f64) -> Self {
        let reach = self.own.least.abs().y.max(self.own.most.y.abs()) * radians;
        let rise = self.own.least.abs().x.max(self.own.most.x.abs()) * radians;
        let aside = v3(reach, rise, 0.0);
        let bounds = self.place.bounds(&Bounds { least: self.own.least - aside, most: self.own.most + aside });
        Self { swing: radians, bounds, ..self }
    }

    /// Ready to stand in a scene.
    pub fn boxed(self) -> Box<dyn Shape> {
        Box::new(self)
    }
}

impl<D, S> Solid<D, S> {
    fn inward(&self, p: Vec3, seconds: f64) -> Vec3 {
        let q = self.place.inward(p);
        if self.swing == 0.0 { q } else { q.turned_z(-self.swing * (std::f64::consts::TAU * seconds / PERIOD).sin()) }
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

    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        (self.distance)(self.inward(p, seconds))
    }

    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        (self.surface)(self.inward(p, seconds), normal)
    }

    fn moves(&self) -> bool {
        self.swing != 0.0
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
