//! The ventilator of the fore deck: a stem with a cowl that faces aft.

use crate::material::{IRON, SHIP_GREY, SHIP_WHITE};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// A cowl ventilator; its mouth faces -z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cowl {
    /// The middle of its foot.
    pub(super) foot: Vec3,
    /// Its height to the middle of the cowl.
    pub(super) high: f64,
}

/// Radius of the cowl.
const COWL: f64 = 0.36;
/// From the cowl's middle to the plane of its mouth.
const MOUTH: f64 = 0.10;

impl Cowl {
    fn own(&self, p: Vec3) -> Vec3 {
        p - self.foot - v3(0.0, self.high, 0.0)
    }
}

impl Shape for Cowl {
    fn bounds(&self) -> Bounds {
        let wide = COWL + 0.04;
        Bounds { least: self.foot - v3(wide, 0.0, wide), most: self.foot + v3(wide, self.high + wide, wide) }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.own(p);
        let stem = (q.x.leg(q.z) - 0.19).max(q.y + 0.26).max(-self.high - q.y);
        let shell = (q.length() - COWL).abs() - 0.008;
        // The mouth is cut a little downwards; a rolled edge goes round it.
        let mouth = q.dot(v3(0.0, -0.20, -0.98)) - MOUTH;
        let across = (q.dot(q) - (mouth + MOUTH) * (mouth + MOUTH)).max(0.0).sqrt();
        let edge = (across - (COWL * COWL - MOUTH * MOUTH).sqrt()).leg(mouth) - 0.02;
        let inner = (q.x.leg(q.z) - 0.17).max(q.y);
        let collar = distance::drum(q + v3(0.0, self.high - 0.25, 0.0), 0.03, 0.225, 0.225, 0.01);
        let cowl = distance::without(shell.max(mouth), inner, 0.01);
        distance::joined(stem, cowl, 0.05).min(edge).min(collar)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.own(p);
        if q.length() < COWL - 0.003 && q.y > -COWL * 0.9 {
            return Surface { open: 0.5, ..Surface::of(IRON, normal) };
        }
        let stain = grain(381, v3(q.x * 3.0, q.y * 1.6, q.z * 3.0));
        Surface::of(SHIP_WHITE, normal).mixed(SHIP_GREY, smooth(0.3, 0.75, stain)).glossy(0.04, 20.0)
    }
    fn fineness(&self) -> f64 {
        1e-3
    }
}
