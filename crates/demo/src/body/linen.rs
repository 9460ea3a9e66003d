//! Linen of the galley: a striped towel over a rail or hook.

use super::cloth::{bend, creases, folds};
use crate::material::{LINEN, NECKERCHIEF};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A striped dish towel, 220 mm wide and 430 mm long, folded over a rail along x; its origin is the rail's middle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Towel {
    place: Place,
}

impl Towel {
    /// Hanging over a rail of 12 mm radius, its longer side to +z.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }

    /// Where the sheet goes: how far a point is before it, in metres, and whether it is the front.
    fn own(q: Vec3) -> f64 {
        let slow = uneven(111, v3(q.x * 9.0, q.y * 5.0, 1.7)) - 0.5;
        let down = smooth(0.0, -0.40, q.y);
        // Folds that widen to the hem, and a hem that is not level.
        let wave = folds(112, (q.x + 0.05 * slow - 0.06 * q.y) / mix(0.060, 0.078, down));
        let front = 0.0155 + 0.030 * smooth(-0.01, -0.2, q.y) * wave - 0.002 * down;
        let behind = -0.0155 - 0.010 * down * folds(115, (q.x - 0.04 * slow + 0.03) / 0.08);
        let half = 0.113 + 0.012 * down * slow - 0.012 * down;
        let edge = q.x.abs() - half;
        let hem = |below: f64| (q.y).max(-below - q.y - 0.08 * q.x);
        let sheet = |z: f64, below: f64| {
            let (a, b) = ((q.z - z).abs() - 0.0012, edge.max(hem(below)));
            a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - 0.0012
        };
        let over = {
            let around = (q.y.max(0.0).leg(q.z) - 0.0155).abs() - 0.0012;
            let b = edge.max(-q.y);
            around.max(0.0).leg(b.max(0.0)) + around.max(b).min(0.0) - 0.0012
        };
        sheet(front, 0.43).min(sheet(behind, 0.31)).min(over) * 0.72
    }
}

impl Shape for Towel {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.125, -0.455, -0.045), most: v3(0.125, 0.022, 0.05) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        Self::own(self.place.inward(p))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, flat) = (self.place.inward(p), self.place.inward(self.place.at + normal));
        // Two broad stripes with a thin one between, near either side.
        let from_edge = 0.108 - q.x.abs();
        let stripe = |at: f64, half: f64| smooth(half + 0.0012, half - 0.0012, (from_edge - at).abs());
        let blue = stripe(0.018, 0.006).max(stripe(0.031, 0.0018)).max(stripe(0.044, 0.006));
        let height = |p: Vec3| 0.0016 * creases(117, p * 26.0);
        let surface = Surface { soft: 0.15, ..Surface::of(LINEN, flat).mixed(NECKERCHIEF, 0.92 * blue) }
            .bent(bend(q, flat, height));
        Surface { normal: self.place.outward(surface.normal) - self.place.at, ..surface }
    }
}
