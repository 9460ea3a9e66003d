//! The ship's rail: a varnished cap on steel stanchions, with two pipes below.

use crate::material::{OAK, OAK_DARK, SHIP_GREY, SHIP_WHITE};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// Where the rail stands, in x.
pub(super) const RAIL: f64 = 1.16;
/// Height of the cap's upper face.
pub(super) const CAP: f64 = 1.06;
/// From stanchion to stanchion.
const PITCH: f64 = 1.5;
/// Where one of them stands.
const FIRST: f64 = 0.38;

/// A rail in a straight line, along z at one x, or along x at one z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Rail {
    /// Whether it runs along x.
    pub(super) athwart: bool,
    /// Where it stands, on the other axis.
    pub(super) at: f64,
    /// Where it begins and ends.
    pub(super) span: [f64; 2],
}

impl Rail {
    /// A point in the rail's own axes: x across it, z along it.
    fn own(&self, p: Vec3) -> Vec3 {
        if self.athwart { v3(p.z - self.at, p.y, p.x) } else { v3(p.x - self.at, p.y, p.z) }
    }
}

impl Shape for Rail {
    fn bounds(&self) -> Bounds {
        let ([from, to], wide) = (self.span, 0.065);
        if self.athwart {
            Bounds { least: v3(from, 0.0, self.at - wide), most: v3(to, CAP + 0.002, self.at + wide) }
        } else {
            Bounds { least: v3(self.at - wide, 0.0, from), most: v3(self.at + wide, CAP + 0.002, to) }
        }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.own(p);
        let cap = distance::block(v3(q.x, q.y - CAP + 0.022, 0.0), v3(0.055, 0.022, 1.0), 0.014);
        let upper = q.x.leg(q.y - 0.72) - 0.019;
        let lower = q.x.leg(q.y - 0.40) - 0.019;
        let along = q.z - FIRST - ((q.z - FIRST) / PITCH).round() * PITCH;
        let post = (q.x.leg(along) - 0.026).max(q.y - CAP + 0.03);
        let foot = distance::block(v3(q.x, q.y, along), v3(0.06, 0.014, 0.06), 0.006);
        let collar = q.x.leg(along).leg(0.8 * ((q.y - 0.72).abs().min((q.y - 0.40).abs()))) - 0.034;
        let ends = (q.z - self.span[1]).max(self.span[0] - q.z).max(-q.y);
        cap.min(upper).min(lower).min(post).min(foot).min(collar).max(ends)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.own(p);
        if q.y > CAP - 0.046 {
            let lines = grain(341, v3(q.x * 60.0, q.y * 60.0, q.z * 2.2));
            let bare = smooth(0.55, 0.75, grain(342, v3(q.x * 3.0, 0.0, q.z * 2.6)));
            let varnish = Surface::of(OAK, normal).mixed(OAK_DARK, smooth(0.3, 0.75, lines));
            return if bare > 0.5 { varnish.glossy(0.02, 10.0) } else { varnish.glossy(0.04, 90.0) };
        }
        let stain = grain(343, q * 6.0);
        Surface::of(SHIP_WHITE, normal).mixed(SHIP_GREY, smooth(0.35, 0.75, stain)).glossy(0.04, 26.0)
    }
}
