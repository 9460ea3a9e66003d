//! The light trap: a felt-covered box with a hole, the darkest thing on the set.

use super::look::Look;
use super::{FOOT, Prop};
use crate::geometry::{Area, Point, at, ellipse, rounded_box, smooth};
use crate::material::{BLACK, SLATE, VOID};

const HALF: f64 = 0.52;

/// A light trap on the bench.
pub struct Trap {
    centre: Point,
}

impl Trap {
    /// Standing with its middle at `x`.
    pub fn standing(x: f64) -> Self {
        Self { centre: at(x, FOOT - HALF) }
    }
}

impl Prop for Trap {
    fn area(&self) -> Area {
        Area::new(self.centre.x - HALF, self.centre.y - HALF, 2.0 * HALF, 2.0 * HALF)
    }
    fn look(&self, p: Point, moment: f64) -> Option<Look> {
        let edge = self.outline(p, moment);
        if edge > 0.0 {
            return None;
        }
        let q = p.from(self.centre);
        let hole = ellipse(q, 0.27, 0.27);
        if hole < 0.0 {
            return Some(Look::of(VOID));
        }
        if hole < 0.035 {
            let side = hole / 0.035 - 0.5;
            return Some(Look::of(SLATE).facing([q.x / 0.3 * side, q.y / 0.3 * side, 0.8]).glossy(0.06, 20.0));
        }
        // The lid's upper edge catches a little light.
        if q.y < -HALF + 0.09 {
            return Some(Look::of(SLATE).facing([0.0, -0.7, 0.7]).open(0.5));
        }
        let rim = smooth(-0.07, 0.0, edge);
        Some(Look::of(BLACK).mixed(SLATE, 0.18 * rim).facing([0.4 * rim * q.x / HALF, 0.4 * rim * q.y / HALF, 1.0]))
    }
    fn outline(&self, p: Point, _: f64) -> f64 {
        rounded_box(p.from(self.centre), HALF, HALF, 0.05)
    }
    fn depth(&self) -> f64 {
        0.5
    }
    fn footing(&self) -> Option<(f64, f64)> {
        Some((self.centre.x, HALF))
    }
}
