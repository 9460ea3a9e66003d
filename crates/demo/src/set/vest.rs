//! An orange life vest on a hook, with reflective tape and a black strap.

use super::Prop;
use super::look::{Look, pillow};
use crate::geometry::{Area, Point, at, ellipse, mix, rounded_box, smooth, uneven};
use crate::material::{IRON, STEEL, TAPE, VEST, WEBBING};

const HALF_WIDTH: f64 = 1.18;
const HALF_HEIGHT: f64 = 1.72;

/// A hanging vest.
pub struct Vest {
    centre: Point,
}

impl Vest {
    /// With its middle at `centre`.
    pub fn hanging(centre: Point) -> Self {
        Self { centre }
    }

    /// Signed distance from the silhouette, centre at the origin.
    fn cut(q: Point) -> f64 {
        let waist = 1.0 - 0.06 * smooth(-0.2, 0.9, q.y);
        let body = rounded_box(at(q.x / waist, q.y), HALF_WIDTH, HALF_HEIGHT, 0.42);
        let neck = ellipse(q.from(at(0.0, -HALF_HEIGHT - 0.02)), 0.44, 1.12);
        let arm = ellipse(q.from(at(q.x.signum() * (HALF_WIDTH + 0.10), -0.62)), 0.34, 0.66);
        body.max(-neck).max(-arm)
    }

    /// Distance into the nearest of the stuffed chambers, negative inside; seams are where it comes to nought.
    fn chambers(q: Point) -> f64 {
        let seam = [-0.56, 0.42, 1.12].iter().map(|y| (q.y - y).abs()).fold(f64::INFINITY, f64::min);
        Self::cut(q).max(-q.x.abs()).max(-seam)
    }

    /// Strap and buckle across the belly.
    fn strap(q: Point) -> Option<Look> {
        let strap = (q.y - 0.78).abs();
        if strap >= 0.085 {
            return None;
        }
        if rounded_box(q.from(at(0.0, 0.78)), 0.19, 0.085, 0.03) < 0.0 {
            let slot = rounded_box(q.from(at(0.0, 0.78)), 0.09, 0.035, 0.02);
            return Some(if slot < 0.0 {
                Look::of(WEBBING)
            } else {
                Look::of(STEEL).facing([0.0, (q.y - 0.78) * 3.0, 1.0]).glossy(0.3, 20.0)
            });
        }
        let weave = ((q.x * 60.0).sin() * (q.y * 90.0).sin()).abs();
        Some(Look::of(WEBBING).facing([0.35 * q.x, (q.y - 0.78) * 2.0, 1.0]).open(0.7 + 0.3 * weave).glossy(0.02, 6.0))
    }

    /// Bands of tape over the chest.
    fn taped(q: Point) -> bool {
        (q.y + 0.20).abs() < 0.12 || ((q.x.abs() - 0.78).abs() < 0.11 && q.y < -0.32 && q.y > -1.6)
    }
}

impl Prop for Vest {
    fn area(&self) -> Area {
        Area::new(
            self.centre.x - HALF_WIDTH - 0.05,
            self.centre.y - HALF_HEIGHT - 0.35,
            2.0 * HALF_WIDTH + 0.1,
            2.0 * HALF_HEIGHT + 0.4,
        )
    }

    fn look(&self, p: Point, _: f64) -> Option<Look> {
        let q = p.from(self.centre);
        if Self::cut(q) > 0.0 {
            // The peg, and the loop the vest hangs by.
            let peg = q.from(at(0.0, -HALF_HEIGHT - 0.10)).length();
            let bar = rounded_box(q.from(at(0.0, -HALF_HEIGHT + 0.10)), 0.72, 0.05, 0.05);
            return (peg < 0.11 || bar < 0.0)
                .then(|| Look::of(IRON).facing([q.x, q.y + HALF_HEIGHT, 0.5]).glossy(0.15, 30.0));
        }
        if let Some(strap) = Self::strap(q) {
            return Some(strap);
        }
        let mut normal = pillow(Self::chambers, q, 0.30);
        // Cloth over foam: slow creases.
        let crease = uneven(71, at(q.x * 2.6 + q.y, q.y * 3.4)) - 0.5;
        normal[0] += 0.22 * crease;
        normal[1] += 0.30 * (uneven(72, at(q.x * 2.0, q.y * 5.0)) - 0.5);
        let seam = mix(0.45, 1.0, smooth(0.0, 0.09, -Self::chambers(q)));
        if Self::taped(q) {
            let grid = ((q.x + q.y) * 34.0).sin() * ((q.x - q.y) * 34.0).sin();
            return Some(Look::of(TAPE).facing(normal).open(seam * (0.92 + 0.08 * grid)).glossy(0.5, 12.0));
        }
        let weave = 0.94 + 0.06 * (q.x * 120.0).sin() * (q.y * 120.0).sin();
        Some(Look::of(VEST).facing(normal).open(seam * weave).glossy(0.03, 8.0))
    }

    fn outline(&self, p: Point, _: f64) -> f64 {
        Self::cut(p.from(self.centre))
    }
    fn depth(&self) -> f64 {
        0.30
    }
}
