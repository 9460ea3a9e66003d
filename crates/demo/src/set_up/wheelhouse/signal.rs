//! The red lamp in its cage.

use super::sources::RED;
use crate::material::{BRASS, IRON};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Halo, Shape, Surface};

/// A red glass in a brass cage on a wall; its origin is the middle of its base, its front to +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Signal {
    place: Place,
}

impl Signal {
    /// On a wall at a place.
    pub fn on(place: Place) -> Self {
        Self { place }
    }

    /// The middle of the glass.
    pub fn glass(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.0, 0.06))
    }

    fn dome(q: Vec3) -> f64 {
        distance::limb(q, v3(0.0, 0.0, 0.02), v3(0.0, 0.0, 0.07), 0.034, 0.032)
    }

    fn cage(q: Vec3) -> f64 {
        let base = distance::drum(v3(q.x, q.z - 0.01, q.y), 0.014, 0.055, 0.05, 0.006);
        let hoop = distance::ring(v3(q.x, q.z - 0.06, q.y), 0.042, 0.0032);
        let arch = |across: f64, side: f64| (across.leg(q.z - 0.065) - 0.044).leg(side) - 0.0032;
        base.min(hoop).min(arch(q.x, q.y).min(arch(q.y, q.x)).max(-q.z + 0.02))
    }
}

impl Shape for Signal {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.056, -0.056, -0.005), most: v3(0.056, 0.056, 0.115) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        Self::dome(q).min(Self::cage(q))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if Self::dome(q) < Self::cage(q) {
            // The filament's place is seen through the glass.
            let middle = (-((q.x / 0.02).powi(2) + (q.y / 0.02).powi(2))).exp();
            return Surface {
                glow: Some((RED, 0.45 + 1.1 * middle)),
                fine: Some(0.003),
                ..Surface::of(IRON, normal).glossy(0.05, 60.0)
            };
        }
        Surface { metal: true, fine: Some(0.003), ..Surface::of(BRASS, normal).glossy(0.6, 50.0) }
    }
    fn halo(&self) -> Option<Halo> {
        Some(Halo { source: RED, place: self.glass(), level: 0.05, wide: 0.012 })
    }
    fn shades(&self) -> bool {
        false
    }
}
