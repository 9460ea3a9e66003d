//! The mouth: two lips along the arch of the teeth. In millimetres.

use super::features::Features;
use super::form::Egg;
use crate::space::{Vec3, distance, smooth, v3};

/// Height of the line between the lips.
const LINE: f64 = -72.5;
/// Front of the teeth.
const FRONT: f64 = 90.2;
/// Jaws and teeth under the lips.
const TEETH: Egg = Egg::new(v3(0.0, -70.0, 66.0), v3(30.0, 21.0, 25.0));

/// The mouth of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mouth {
    half: f64,
    /// One over that.
    over: f64,
    lips: [f64; 2],
    corners: f64,
    corner: Egg,
}

impl Mouth {
    /// The mouth of some features.
    pub const fn of(f: &Features) -> Self {
        let corner = v3(f.mouth + 1.5, LINE + f.corners, 84.0);
        Self {
            half: f.mouth,
            over: 1.0 / f.mouth,
            lips: f.lips,
            corners: f.corners,
            corner: Egg::new(corner, v3(8.0, 7.0, 9.0)),
        }
    }

    /// Distances to the upper and the lower lip.
    fn both(&self, p: Vec3) -> [f64; 2] {
        let x = p.x.abs();
        let along = (x * self.over).min(1.0);
        let beyond = (x - self.half).max(0.0);
        let full = 1.0 - along * along;
        let arch = FRONT - 0.0125 * x * x;
        let line = LINE + self.corners * along * along - 0.7 * smooth(0.0, 0.5, along) * full;
        let [upper, lower] = self.lips;
        // The upper lip dips in its middle.
        let bow = 1.1 * smooth(0.0, 6.0, x) * full;
        let root = full.sqrt();
        let section = |height: f64, depth: f64, radius: f64| {
            v3(beyond, p.y - line - height, p.z - arch - depth).length() - radius
        };
        let above = section(upper * (0.55 + 0.35 * full) + bow, 0.2, 1.0 + (upper - 0.2) * root);
        let below = section(-lower * (0.5 + 0.45 * full), -0.8, 1.0 + (lower - 0.6) * root);
        [above, below]
    }

    /// The skin with the mouth on it.
    pub fn on(&self, p: Vec3, skin: f64) -> f64 {
        let from = p - v3(0.0, -72.0, 80.0);
        if from.dot(from) > 44.0 * 44.0 {
            return skin;
        }
        let [above, below] = self.both(p);
        let d = distance::joined(skin, TEETH.distance(p), 13.0);
        let d = distance::joined(d, distance::joined(above, below, 0.7), 5.0);
        // The corners lie in.
        d + 2.2 * self.corner.hill(v3(p.x.abs(), p.y, p.z))
    }

    /// How far a place is from the lips; large where it is far off.
    pub fn away(&self, p: Vec3) -> f64 {
        let from = p - v3(0.0, -72.0, 92.0);
        if from.dot(from) > 36.0 * 36.0 {
            return 36.0;
        }
        let [above, below] = self.both(p);
        above.min(below)
    }

    /// 0..1: how red a place of the skin is with the lips.
    pub fn red(&self, p: Vec3) -> f64 {
        1.0 - smooth(-0.6, 2.2, self.away(p))
    }
}
