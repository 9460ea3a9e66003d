//! An orange life vest on a hook: 360 mm wide, 520 mm high, its front to +z; its origin is the middle between the shoulders.

use super::panels::{self, Panels, panels};
use crate::material::{IRON, VEST, WEBBING};
use crate::space::{Bounds, Place, Vec3, distance, smooth, v3};
use crate::trace::{Shape, Surface};

/// An orange life vest on a hook: 360 mm wide, 520 mm high, its front to +z; its origin is the middle between the
/// shoulders.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vest {
    place: Place,
}

impl Vest {
    /// Hanging at a place, thin, against a wall 60 mm behind its origin, from a hook 60 mm above.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }

    /// A plain orange place of the front, for a mark.
    pub fn orange(&self) -> Vec3 {
        let mut z = 0.3;
        for _ in 0..80 {
            z -= Self::own(v3(panels::PLAIN[0], panels::PLAIN[1], z));
        }
        self.place.outward(v3(panels::PLAIN[0], panels::PLAIN[1], z))
    }

    /// What it hangs on: flat, its shoulders fallen, a bar through its arm holes.
    fn inner(q: Vec3) -> f64 {
        let fall = 0.55 * q.x * q.x;
        let deep = 0.012 + 0.022 * smooth(0.0, -0.4, q.y);
        let body = distance::block(q - v3(0.0, -0.262 - fall, 0.0), v3(0.165, 0.252, deep), 0.012);
        body * 0.92
    }

    fn on_it(q: Vec3) -> Panels {
        panels(v3(q.x, q.y + 0.4 * q.x * q.x, q.z), Self::inner(q))
    }

    fn hook(q: Vec3) -> f64 {
        let arm = distance::limb(q, v3(0.0, 0.055, -0.06), v3(0.0, 0.062, 0.012), 0.007, 0.007);
        arm.min(distance::ball(q - v3(0.0, 0.066, 0.014), 0.0095))
    }

    /// The back's inside, seen through the neck.
    fn lining(q: Vec3) -> f64 {
        (Self::inner(q) + 0.003).max(q.z + 0.002)
    }

    /// The webbing that it hangs by.
    fn loop_up(q: Vec3) -> f64 {
        let side = v3(q.x.abs(), q.y, q.z * 0.5);
        distance::limb(side, v3(0.004, 0.052, 0.0), v3(0.085, -0.022, -0.002), 0.0035, 0.0035)
    }

    fn own(q: Vec3) -> f64 {
        let sewn = 0.85 * Self::on_it(q).distance().min(Self::lining(q));
        // Aside of it what lies on what is not at right angles to its outline: there is less room than by Pythagoras.
        let sewn = sewn - 0.13 * (sewn - 0.045).max(0.0);
        sewn.min(Self::hook(q)).min(Self::loop_up(q))
    }
}

impl Shape for Vest {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.202, -0.577, -0.092), most: v3(0.202, 0.077, 0.092) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        Self::own(self.place.inward(p))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let flat = self.place.inward(self.place.at + normal);
        let vest = Self::on_it(q);
        let surface = if Self::hook(q) < vest.distance().min(Self::loop_up(q)) {
            Surface::of(IRON, flat).glossy(0.04, 30.0)
        } else if Self::loop_up(q) < vest.distance().min(Self::lining(q)) {
            Surface::of(WEBBING, flat)
        } else if q.z < 0.006 && Self::lining(q) < vest.distance() + 0.0015 {
            Surface::of(VEST, flat)
        } else {
            vest.surface(v3(q.x, q.y + 0.4 * q.x * q.x, q.z), flat)
        };
        Surface { normal: self.place.outward(surface.normal) - self.place.at, ..surface }
    }
    fn dear(&self) -> bool {
        true
    }
}
