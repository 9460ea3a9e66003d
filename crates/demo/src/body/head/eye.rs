//! Eyes: a ball with its cornea in a socket, lids drawn over it, and what hangs under it. In millimetres.

use super::features::Features;
use super::face::{hill, ridge};
use crate::space::{Vec3, distance, smooth, v3};

/// The middle of the ball of the side of +x.
pub const MIDDLE: Vec3 = v3(32.0, 0.0, 67.5);
/// Radius of the ball.
const BALL: f64 = 12.0;
/// Radius of the lids over it.
const LIDS: f64 = 13.6;
/// Beyond this, eyes change nothing.
const REACH: f64 = 34.0;

/// The skin with a socket in it.
pub fn socket(f: &Features, q: Vec3, skin: f64) -> f64 {
    if (q - MIDDLE).length() > 40.0 {
        return skin;
    }
    let hollow = distance::ellipsoid(q - v3(32.0, 0.0, 89.0), v3(19.0, 11.5, 14.0));
    let carved = distance::without(skin, hollow, 11.0);
    // Brow and fold hang over it.
    let brow = distance::ellipsoid(q - v3(34.0, f.fold + 5.0, 70.0), v3(18.0, 6.0, 11.0));
    distance::joined(carved, brow, 8.0)
}

/// How far the gap between the lids is from a place beside the ball's middle: negative within it.
fn gap(f: &Features, e: Vec3, side: usize) -> f64 {
    // Outwards the gap rises a little; its upper edge is highest on the inner side, its lower edge lowest on the outer.
    let y = e.y - 0.07 * e.x + 1.6;
    let along = e.x / 14.2;
    let arch = |lean: f64| (1.0 - along * along) * (1.0 + lean * along);
    let upper = f.open[side] * arch(-0.25);
    let lower = -3.4 * arch(0.2);
    (y - upper).max(lower - y)
}

/// The skin with lids over the eye.
pub fn lids(f: &Features, q: Vec3, side: usize, skin: f64) -> f64 {
    let e = q - MIDDLE;
    let away = e.length();
    if away > REACH {
        return skin;
    }
    let shell = away - LIDS;
    let lids = distance::common(shell, -0.85 * gap(f, e, side), 1.0);
    let mut d = distance::joined(skin, lids, 4.5);
    // The crease over the upper lid and the bag under the lower one.
    let rise = f.open[side] * 0.35;
    d += 0.9 * ridge(q, v3(19.0, 4.0 + rise, 79.0), v3(46.0, 4.5 + rise, 71.0), 3.2);
    d -= f.bags * hill(q, v3(33.0, -13.0, 77.0), v3(15.0, 6.5, 14.0));
    d
}

/// Distance to the eyeball.
pub fn ball(q: Vec3, side: usize) -> f64 {
    let e = q - MIDDLE;
    let away = e.length();
    if away > 24.0 {
        return away - 14.0;
    }
    let cornea = (e - gaze(side) * 5.4).length() - 7.5;
    (away - BALL).min(cornea)
}

/// Where an eye looks: down, for it is late. Eyes converge a little.
fn gaze(side: usize) -> Vec3 {
    // Of length 1 to a thousandth; in the axes of the folded side, where +x is outwards.
    [v3(0.05, -0.17, 0.984), v3(-0.09, -0.17, 0.981)][side]
}

/// What of the ball is seen at a place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Look {
    /// 0..1: how far the place is within the iris.
    pub iris: f64,
    /// 0..1: how far within the pupil.
    pub pupil: f64,
    /// 0..1: how far the place lies under the upper lid's shadow, its lashes with it.
    pub shaded: f64,
    /// 0..1: how red the corners are.
    pub corner: f64,
}

/// What of the ball is seen at a place.
pub fn look(f: &Features, q: Vec3, side: usize) -> Look {
    let e = q - MIDDLE;
    let towards = gaze(side);
    let away = e.unit();
    let off = BALL * (away - towards).length();
    let y = e.y - 0.07 * e.x + 1.6;
    let along = e.x / 14.2;
    let upper = f.open[side] * (1.0 - along * along) * (1.0 - 0.25 * along);
    Look {
        iris: 1.0 - smooth(5.5, 6.2, off),
        pupil: 1.0 - smooth(2.2, 2.7, off),
        shaded: smooth(-3.2, 0.4, y - upper),
        corner: smooth(0.6, 0.95, along.abs()),
    }
}

/// 0..1: how near the edge of a lid a place of the skin is, where lashes grow.
pub fn lashes(f: &Features, q: Vec3, side: usize) -> f64 {
    let e = q - MIDDLE;
    if e.z < 0.0 || e.length() > 15.5 {
        return 0.0;
    }
    let y = e.y - 0.07 * e.x + 1.6;
    let gap = gap(f, e, side);
    let upper = if y > 0.0 { 1.0 } else { 0.45 };
    upper * (1.0 - smooth(0.6, 1.9, gap))
}
