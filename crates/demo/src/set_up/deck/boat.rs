//! A lifeboat under its cover, and the davits that hold it.

use crate::material::{CANVAS, IRON, OAK_DARK, SHIP_GREY, SHIP_WHITE};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A lifeboat that hangs fore and aft: its middle at the height of its gunwale.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Boat {
    pub(super) middle: Vec3,
}

/// Half length, half width and depth.
const HALF: Vec3 = v3(0.78, 0.80, 2.35);

impl Shape for Boat {
    fn bounds(&self) -> Bounds {
        Bounds {
            least: self.middle - v3(HALF.x + 0.05, HALF.y + 0.06, HALF.z + 0.05),
            most: self.middle + v3(HALF.x + 0.05, 0.46, HALF.z + 0.05),
        }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.middle;
        let hull = distance::ellipsoid(q, HALF).max(q.y);
        let cover = distance::ellipsoid(q, v3(HALF.x * 0.98, 0.42, HALF.z * 0.98)).max(-q.y);
        let out = distance::ellipsoid(v3(q.x, 0.0, q.z), HALF);
        let strake = out.abs().leg(q.y) - 0.035;
        let keel = distance::ellipsoid(v3(0.0, q.y, q.z), v3(1.0, HALF.y + 0.05, HALF.z + 0.04))
            .max(q.x.abs() - 0.025)
            .max(q.y);
        hull.min(cover).min(strake).min(keel) * 0.8
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.middle;
        if q.y.abs() < 0.045 {
            return Surface::of(OAK_DARK, normal).glossy(0.03, 20.0);
        }
        if q.y > 0.0 {
            // Canvas, drawn tight between its lashings.
            let sag = uneven(351, v3(q.x * 2.0, 0.0, q.z * 3.2)) - 0.5;
            return Surface::of(CANVAS, normal).bent(v3(0.1 * sag, 0.0, 0.35 * sag));
        }
        let strake = ((q.y / 0.115).fract() + 1.0).fract();
        let lap = smooth(0.12, 0.0, strake);
        let stain = grain(352, v3(q.x, q.y * 1.2, q.z * 0.9) * 2.4);
        let paint = Surface::of(SHIP_WHITE, normal).mixed(SHIP_GREY, smooth(0.3, 0.8, stain)).glossy(0.03, 16.0);
        Surface { open: 1.0 - 0.5 * lap, ..paint.bent(v3(0.0, -0.35 * lap, 0.0)) }
    }
    fn fineness(&self) -> f64 {
        2e-3
    }
}

/// A davit: a steel post that bends outboard (to +x) over the boat, with the tackle that hangs from its head.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Davit {
    /// The middle of its foot.
    pub(super) foot: Vec3,
}

/// Height at which it begins to bend, and the radius of the bend.
const BEND: [f64; 2] = [3.05, 0.74];

impl Shape for Davit {
    fn bounds(&self) -> Bounds {
        let [height, radius] = BEND;
        Bounds {
            least: self.foot - v3(0.12, 0.0, 0.12),
            most: self.foot + v3(radius * 1.25, height + radius + 0.09, 0.12),
        }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.foot;
        let [height, radius] = BEND;
        let thick = 0.062 - 0.008 * q.y.clamp(0.0, 4.0);
        let post = distance::limb(q, v3(0.0, 0.0, 0.0), v3(0.0, height, 0.0), 0.075, 0.05);
        let (x, y) = (q.x - radius, q.y - height);
        let bow = if y > 0.0 && x < 0.0 {
            (x.leg(y) - radius).leg(q.z) - thick
        } else {
            (x.max(0.0)).leg(y.min(0.0)).leg((if x < 0.0 { 0.0 } else { y - radius }).abs()).leg(q.z) - thick
        };
        let bow = if y <= 0.0 { v3(x + radius, y, q.z).length() - thick } else { bow };
        let head =
            distance::limb(q, v3(radius, height + radius, 0.0), v3(radius * 1.14, height + radius, 0.0), 0.04, 0.05);
        let tackle = distance::limb(
            q,
            v3(radius * 1.08, height + radius, 0.0),
            v3(radius * 1.08, height - 0.35, 0.0),
            0.018,
            0.018,
        );
        let block = distance::ellipsoid(q - v3(radius * 1.08, height + 0.30, 0.0), v3(0.06, 0.10, 0.05));
        let collar = distance::drum(q - v3(0.0, CAP_HEIGHT, 0.0), 0.05, 0.10, 0.10, 0.015);
        post.min(bow).min(head).min(tackle).min(block).min(collar).max(-q.y)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let stain = grain(355, p * 5.0);
        if p.x > self.foot.x + BEND[1] {
            return Surface::of(IRON, normal).glossy(0.03, 16.0);
        }
        Surface::of(SHIP_WHITE, normal).mixed(SHIP_GREY, smooth(0.3, 0.7, stain)).glossy(0.04, 24.0)
    }
    fn fineness(&self) -> f64 {
        1e-3
    }
}

/// Where a davit is held to the rail.
const CAP_HEIGHT: f64 = 1.12;
