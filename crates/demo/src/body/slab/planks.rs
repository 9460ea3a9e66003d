//! Planks of wood, side by side.

use crate::body::wood::{OAK_WOOD, Wood};
use crate::material::SOIL;
use crate::space::{Bounds, Vec3, chance, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Planks that lie side by side with narrow gaps, their edges worn round: a table's top, a bench, a deck.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Planks {
    bounds: Bounds,
    wide: f64,
    wood: Wood,
    along_z: bool,
}

/// Half the gap between two planks, in metres.
const GAP: f64 = 0.0011;
/// How round a plank's edges are.
const ROUND: f64 = 0.0038;

impl Planks {
    /// Oak planks that fill a box and run along x, each `wide` metres in z.
    pub fn new(bounds: Bounds, wide: f64) -> Self {
        Self { bounds, wide, wood: OAK_WOOD, along_z: false }
    }

    /// The same, running along z, each as wide in x.
    pub fn along_z(self) -> Self {
        Self { along_z: true, ..self }
    }

    /// The same of another wood.
    pub fn of(self, wood: Wood) -> Self {
        Self { wood, ..self }
    }

    /// A point with x along the planks, y up, z across, from the middle of the box; and half the box likewise.
    fn own(&self, p: Vec3) -> (Vec3, Vec3) {
        let (q, half) = (p - self.bounds.centre(), self.bounds.half());
        if self.along_z { (v3(q.z, q.y, q.x), v3(half.z, half.y, half.x)) } else { (q, half) }
    }

    /// The plank's number at a point, and the point from its middle.
    fn plank(&self, q: Vec3) -> (f64, Vec3) {
        let row = (q.z / self.wide).floor();
        (row, v3(q.x, q.y, q.z - (row + 0.5) * self.wide))
    }
}

impl Shape for Planks {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let (q, half) = self.own(p);
        let hull = distance::block(q, half, ROUND);
        if hull > 0.01 {
            return hull;
        }
        let (row, own) = self.plank(q);
        let size = v3(half.x, half.y - 0.0009 * chance(102, row as i64, 0, 0), 0.5 * self.wide - GAP);
        // What the gaps are closed with from below.
        let tongue = distance::block(q, v3(half.x, half.y - 0.006, half.z), 0.0);
        (0.95 * distance::block(own, size, ROUND)).min(tongue).max(hull)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, half) = self.own(p);
        let (row, own) = self.plank(q);
        let surface = self.wood.surface(v3(q.x, own.z, q.y), row as i64 * 7, normal);
        // Dirt sits in the gaps and a hand's width from them; the front edge is rubbed lighter.
        let edge = 0.5 * self.wide - own.z.abs();
        let dirt = smooth(0.0095, 0.0016, edge + 0.005 * uneven(103, p * 38.0)) * 0.85;
        let rubbed = smooth(0.016, 0.002, half.z - q.z.abs()) * smooth(0.35, 0.7, uneven(104, p * 9.0)) * 0.35;
        let share = (surface.share + dirt - rubbed).clamp(0.0, 1.0);
        // The gap itself is filled with the dirt of years.
        let gap = smooth(0.0034, 0.0018, edge) * smooth(0.0, -0.0008, q.y - half.y);
        if gap > 0.0 {
            let main = if share > 0.5 { self.wood.dark } else { self.wood.light };
            return Surface::of(main, normal).mixed(SOIL, gap);
        }
        Surface { share, ..surface }
    }
}
