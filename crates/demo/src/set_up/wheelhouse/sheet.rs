//! A sea chart on the table: a coast, depth lines, a compass rose and a pencilled course. All of our own drawing.

use crate::material::{BLACK, DUSK, PAPER, PINE, PLUM};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A sheet that lies flat; its origin is the middle of its underside, its upper edge to -z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Sheet {
    place: Place,
}

const HALF: Vec3 = v3(0.36, 0.012, 0.25);

impl Sheet {
    /// Lying at a place.
    pub fn lying(place: Place) -> Self {
        Self { place }
    }

    /// Height of the paper: two corners curl.
    fn height(q: Vec3) -> f64 {
        let curl = |x: f64, z: f64| smooth(0.16, 0.0, (q.x - x).leg(q.z - z));
        0.001 + 0.02 * curl(HALF.x, -HALF.z) + 0.012 * curl(-HALF.x, HALF.z)
    }

    /// What is printed at a place: an ink and how much of it.
    fn print(q: Vec3) -> (crate::material::Material, f64) {
        let line = |off: f64, wide: f64| 1.0 - smooth(0.5 * wide, wide, off.abs());
        let border = (HALF.x - 0.025 - q.x.abs()).min(HALF.z - 0.025 - q.z.abs());
        if border < 0.004 {
            return (BLACK, line(border, 0.0015).max(line(border + 0.006, 0.0012)));
        }
        // Land to the right and below, with an uneven shore; depth lines follow it.
        let wander =
            0.09 * grain(51, v3(q.x * 7.0, 0.0, q.z * 7.0)) + 0.02 * uneven(57, v3(q.x * 60.0, 0.0, q.z * 60.0));
        let shore = 0.16 - q.x * 0.8 - q.z * 0.55 - wander;
        if shore < 0.0 {
            return if shore > -0.0018 { (BLACK, 0.9) } else { (PINE, 0.55) };
        }
        let rose = v3(q.x + 0.2, 0.0, q.z + 0.06);
        let out = rose.x.leg(rose.z);
        let mut ink = line(out - 0.055, 0.0014).max(line(out - 0.045, 0.001));
        if out < 0.065 {
            ink = ink.max(line(rose.x, 0.0014)).max(line(rose.z, 0.0014));
        }
        if ink > 0.05 {
            return (PLUM, ink);
        }
        let course = (q.z - 0.35 * q.x + 0.02) / 1.06;
        if line(course, 0.0014) > 0.05 && q.x < 0.1 {
            return (BLACK, 0.8 * line(course, 0.0014));
        }
        let depth = [0.035, 0.09, 0.17].into_iter().map(|at| line(shore - at, 0.0013)).fold(0.0, f64::max);
        let grid = line((q.x / 0.12).fract().abs() * 0.12 - 0.06, 0.0008)
            .max(line((q.z / 0.12).fract().abs() * 0.12 - 0.06, 0.0008));
        let shallow = if shore < 0.035 { 0.4 } else { 0.0 };
        (DUSK, depth.max(0.35 * grid).max(shallow))
    }
}

impl Shape for Sheet {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-HALF.x, 0.0, -HALF.z), most: v3(HALF.x, 0.024, HALF.z) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let edge = distance::block(q - v3(0.0, HALF.y, 0.0), HALF, 0.0);
        edge.max((q.y - Self::height(q)).abs() * 0.9 - 0.0008)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let (ink, share) = Self::print(q);
        Surface { fine: Some(0.001), ..Surface::of(PAPER, normal).mixed(ink, share) }
    }
}
