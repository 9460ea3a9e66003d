//! Eyes: a ball with its cornea in a socket, lids drawn over it, and what hangs under it. In millimetres.

use super::features::Features;
use super::form::{Egg, Limb};
use crate::space::{Vec3, distance, smooth, v3};

/// The middle of the ball of the side of +x.
pub const MIDDLE: Vec3 = v3(32.0, 0.0, 67.5);
/// Radius of the ball.
const BALL: f64 = 12.0;
/// Radius of the lids over it.
const LIDS: f64 = 13.6;

/// The hollow that an eye lies in.
const HOLLOW: Egg = Egg::new(v3(32.0, 0.0, 89.0), v3(19.0, 11.5, 14.0));
/// The bag under it.
const BAG: Egg = Egg::new(v3(33.0, -13.0, 77.0), v3(15.0, 6.5, 14.0));

/// The eyes of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Eyes {
    open: [f64; 2],
    bags: f64,
    /// What hangs over the eye.
    fold: Egg,
    /// The crease over each upper lid.
    creases: [Limb; 2],
}

/// How far a place beside the ball's middle is above the level of the lids' corners, and how far along from one to the
/// other, -1..1. Outwards the gap rises a little.
fn between(e: Vec3) -> [f64; 2] {
    [e.y - 0.07 * e.x + 1.6, e.x * (1.0 / 14.2)]
}

impl Eyes {
    /// The eyes of some features.
    pub const fn of(f: &Features) -> Self {
        Self {
            open: f.open,
            bags: f.bags,
            fold: Egg::new(v3(34.0, f.fold + 5.0, 70.0), v3(18.0, 6.0, 11.0)),
            creases: [crease_at(f.open[0]), crease_at(f.open[1])],
        }
    }

    /// The skin with a socket in it.
    pub fn socket(&self, q: Vec3, skin: f64) -> f64 {
        let e = q - MIDDLE;
        if e.dot(e) > 40.0 * 40.0 {
            return skin;
        }
        let carved = distance::without(skin, HOLLOW.distance(q), 11.0);
        distance::joined(carved, self.fold.distance(q), 8.0)
    }

    /// How far the gap between the lids is from a place beside the ball's middle: negative within it.
    fn gap(&self, e: Vec3, side: usize) -> f64 {
        let [y, along] = between(e);
        // Its lower edge is lowest on the outer side.
        let lower = -3.4 * (1.0 - along * along) * (1.0 + 0.2 * along);
        (y - self.upper(along, side)).max(lower - y)
    }

    /// Height of the upper lid's edge, which is highest on the inner side.
    fn upper(&self, along: f64, side: usize) -> f64 {
        self.open[side] * (1.0 - along * along) * (1.0 - 0.25 * along)
    }

    /// The skin with lids over the eye.
    pub fn lids(&self, q: Vec3, side: usize, skin: f64) -> f64 {
        let e = q - MIDDLE;
        let square = e.dot(e);
        if square > 30.0 * 30.0 {
            return skin;
        }
        let lids = distance::common(square.sqrt() - LIDS, -0.85 * self.gap(e, side), 1.0);
        let d = distance::joined(skin, lids, 4.5);
        d + 0.9 * self.creases[side].hill(q) - self.bags * BAG.hill(q)
    }

    /// What of the ball is seen at a place.
    pub fn look(&self, q: Vec3, side: usize) -> Look {
        let e = q - MIDDLE;
        let off = BALL * (e.unit() - GAZE[side]).length();
        let [y, along] = between(e);
        Look {
            iris: 1.0 - smooth(5.5, 6.2, off),
            rim: smooth(4.2, 5.8, off),
            pupil: 1.0 - smooth(2.2, 2.7, off),
            shaded: smooth(-3.2, 0.4, y - self.upper(along, side)),
            corner: smooth(0.6, 0.95, along.abs()),
        }
    }

    /// 0..1: how near the edge of a lid a place of the skin is, where lashes grow.
    pub fn lashes(&self, q: Vec3, side: usize) -> f64 {
        let e = q - MIDDLE;
        if e.z < 0.0 || e.dot(e) > 15.5 * 15.5 {
            return 0.0;
        }
        let [y, along] = between(e);
        let upper = if y > 0.0 { 1.0 } else { 0.4 };
        upper * (1.0 - smooth(0.75, 1.05, along.abs())) * (1.0 - smooth(0.6, 1.9, self.gap(e, side)))
    }
}

const fn crease_at(open: f64) -> Limb {
    let rise = 0.35 * open;
    Limb::new(v3(19.0, 4.0 + rise, 79.0), v3(46.0, 4.5 + rise, 71.0), 3.2, 3.2)
}

/// Distance to the eyeball.
pub fn ball(q: Vec3, side: usize) -> f64 {
    let e = q - MIDDLE;
    let away = e.length();
    if away > 24.0 {
        return away - 14.0;
    }
    let cornea = (e - GAZE[side] * 5.6).length() - 7.6;
    (away - BALL).min(cornea)
}

/// Where each eye looks: down, for it is late. They converge a little; +x is outwards. Of length 1 to a thousandth.
const GAZE: [Vec3; 2] = [v3(0.05, -0.17, 0.984), v3(-0.09, -0.17, 0.981)];

/// What of the ball is seen at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// 0..1: how far the place is within the iris.
    pub iris: f64,
    /// 0..1: how near the iris's dark rim.
    pub rim: f64,
    /// 0..1: how far within the pupil.
    pub pupil: f64,
    /// 0..1: how far the place lies under the upper lid's shadow, its lashes with it.
    pub shaded: f64,
    /// 0..1: how near the red corners.
    pub corner: f64,
}
