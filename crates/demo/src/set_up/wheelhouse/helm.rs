//! The ship's wheel: a ring of oak with eight spokes and handles, brass at the hub, on a pedestal.

use crate::material::{BRASS, OAK, OAK_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// The wheel; its origin is its hub, its axle along z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Helm {
    place: Place,
}

impl Helm {
    /// On its axle at a place.
    pub fn on(place: Place) -> Self {
        Self { place }
    }

    fn wood(q: Vec3) -> f64 {
        let rim = distance::block(v3(q.x.leg(q.y) - 0.245, 0.0, q.z), v3(0.021, 1.0, 0.017), 0.01);
        // Eightfold: the first eighth stands for all.
        let (a, b) = (q.x.abs().max(q.y.abs()), q.x.abs().min(q.y.abs()));
        let slanting = v3((a + b) * std::f64::consts::FRAC_1_SQRT_2, (a - b) * std::f64::consts::FRAC_1_SQRT_2, q.z);
        let spoke = |p: Vec3| {
            let shaft = distance::limb(p, v3(0.05, 0.0, 0.0), v3(0.23, 0.0, 0.0), 0.014, 0.010);
            let grip = distance::limb(p, v3(0.285, 0.0, 0.0), v3(0.345, 0.0, 0.0), 0.011, 0.0145);
            let neck = distance::limb(p, v3(0.23, 0.0, 0.0), v3(0.34, 0.0, 0.0), 0.008, 0.008);
            shaft.min(distance::joined(grip, neck, 0.006))
        };
        distance::joined(rim, spoke(v3(a, b, q.z)).min(spoke(slanting)), 0.006)
    }

    fn brass(q: Vec3) -> f64 {
        let lying = v3(q.x, q.z, q.y);
        let hub = distance::drum(lying, 0.03, 0.06, 0.055, 0.01);
        let cap = distance::ellipsoid(q - v3(0.0, 0.0, 0.03), v3(0.03, 0.03, 0.018));
        let band = distance::block(v3(q.x.leg(q.y) - 0.245, 0.0, q.z.abs() - 0.0165), v3(0.006, 1.0, 0.0025), 0.001);
        distance::joined(hub, cap, 0.01).min(band)
    }
}

impl Shape for Helm {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.36, -0.36, -0.032), most: v3(0.36, 0.36, 0.05) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        Self::wood(q).min(Self::brass(q))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if Self::brass(q) < Self::wood(q) {
            return Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.7, 70.0) };
        }
        let along = q.x.leg(q.y);
        let lines = grain(17, v3(along * 9.0 + q.x * 20.0, q.y * 26.0, q.z * 60.0));
        Surface::of(OAK, normal).mixed(OAK_DARK, smooth(0.35, 0.75, lines)).glossy(0.04, 36.0)
    }
}
