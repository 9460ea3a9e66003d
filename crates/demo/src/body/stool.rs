//! A wooden stool.

use super::wood::Wood;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A three-legged stool with a round seat, 440 mm high, 330 mm across; its origin is on the floor under its middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stool {
    place: Place,
    wood: Wood,
}

impl Stool {
    /// Standing at a place, of a wood.
    pub fn standing(place: Place, wood: Wood) -> Self {
        Self { place, wood }
    }

    fn seat(q: Vec3) -> f64 {
        let plate = distance::drum(q - v3(0.0, 0.42, 0.0), 0.02, 0.148, 0.155, 0.01);
        // Sat in for many years.
        distance::without(plate, distance::ball(q - v3(0.0, 1.236, 0.0), 0.81), 0.012)
    }

    /// The nearest leg with its rung: distance and, along it, the point in its own axes.
    fn legs(q: Vec3) -> (f64, Vec3) {
        let third = std::f64::consts::TAU / 3.0;
        let turned = ((q.x.atan2(q.z)) / third).round() * third;
        let p = q.turned_y(-turned);
        let leg = distance::limb(p, v3(0.0, 0.41, 0.085), v3(0.0, 0.0145, 0.15), 0.0155, 0.0135);
        let rung =
            distance::limb(v3(p.x.abs(), p.y, p.z), v3(0.0, 0.17, 0.124), v3(0.107, 0.17, -0.062), 0.0095, 0.0095);
        (leg.min(rung), p)
    }
}

impl Shape for Stool {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.17, 0.0, -0.17), most: v3(0.17, 0.44, 0.17) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::joined(Self::seat(q), 0.95 * Self::legs(q).0, 0.006)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let (away, leg) = Self::legs(q);
        if away < Self::seat(q) {
            return self.wood.surface(v3(leg.y, leg.x, leg.z - 0.1), 17, normal);
        }
        self.wood.surface(v3(q.x, q.z, q.y - 0.42), 18, normal)
    }
}
