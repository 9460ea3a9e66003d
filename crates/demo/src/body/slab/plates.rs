//! Walls of riveted steel plates.

use super::brushed;
use crate::material::{Material, RUST};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Painted steel plates with riveted straps over their joints. The wall is thin in x or in z, and is plated on both sides; one
/// that is thin in y is a deck or a ceiling.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Plates {
    bounds: Bounds,
    plate: [f64; 2],
    paint: Material,
    shade: Material,
    rust: f64,
}

/// How far a strap stands out, half its width, and from rivet to rivet, in metres.
const STRAP: f64 = 0.005;
const STRAP_HALF: f64 = 0.034;
const PITCH: f64 = 0.058;
/// From a strap's middle to its rows of rivets.
const ROW: f64 = 0.019;
/// How far a rivet's head stands out from its strap, and half its width.
const HEAD: f64 = 0.0055;
const HEAD_HALF: f64 = 0.0105;

impl Plates {
    /// Plates that fill a box to the faces of their straps' rivets; the width and height of a plate in metres.
    pub fn new(bounds: Bounds, plate: [f64; 2], paint: Material, shade: Material) -> Self {
        Self { bounds, plate, paint, shade, rust: 0.3 }
    }

    /// How much rust has come through the paint: 0 none, 1 a wreck; .3 without this.
    pub fn rusty(self, rust: f64) -> Self {
        Self { rust, ..self }
    }

    /// A point with x and y in the plates' plane, y along the longer way up, z through the wall; and half the box likewise.
    fn own(&self, p: Vec3) -> (Vec3, Vec3) {
        let (q, half) = (p - self.bounds.centre(), self.bounds.half());
        if half.y < half.x && half.y < half.z {
            (v3(q.x, q.z, q.y), v3(half.x, half.z, half.y))
        } else if half.x < half.z {
            (v3(q.z, q.y, q.x), v3(half.z, half.y, half.x))
        } else {
            (q, half)
        }
    }

    /// From the nearest joint that runs along y, and from the nearest along x.
    fn joints(&self, q: Vec3) -> [f64; 2] {
        let [wide, high] = self.plate;
        [q.x - wide * (q.x / wide).round(), q.y - high * (q.y / high).round()]
    }

    /// From the nearest rivet's middle, in the plane.
    fn rivet(&self, q: Vec3) -> f64 {
        let [u, v] = self.joints(q);
        let nearest = |way: f64| PITCH * ((way / PITCH - 0.5).round() + 0.5);
        let (up, across) = (nearest(q.y), nearest(q.x));
        let level = (v.abs() - ROW).leg(q.x - across);
        // The upright strap's rivets end where the level strap lies over it.
        let [_, from_level] = self.joints(v3(0.0, up, 0.0));
        let upright = (u.abs() - ROW).leg(q.y - up);
        if from_level.abs() < STRAP_HALF + HEAD_HALF { level } else { upright.min(level) }
    }
}

impl Shape for Plates {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let (q, half) = self.own(p);
        let hull = distance::block(q, half, 0.0);
        if hull > 0.004 {
            return hull;
        }
        let out = q.z.abs() - half.z + HEAD + STRAP;
        let [u, v] = self.joints(q);
        let strap = |from: f64, high: f64| {
            let (a, b) = (from.abs() - STRAP_HALF + 0.002, out - high + 0.002);
            a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - 0.002
        };
        let straps = strap(u, STRAP).min(strap(v, STRAP + 0.001));
        let flat = self.rivet(q);
        // A cap of a ball: as wide and as high as a head.
        let ball = (HEAD_HALF * HEAD_HALF + HEAD * HEAD) / (2.0 * HEAD);
        let head = flat.leg(out - STRAP - HEAD + ball) - ball;
        let wall = distance::joined(straps, 0.95 * out, 0.003).min(distance::joined(straps, head, 0.001));
        wall.max(hull)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, half) = self.own(p);
        let [u, v] = self.joints(q);
        let edge = u.abs().min(v.abs()) - STRAP_HALF;
        // Rust begins at the straps' edges and at heads, and water draws it down from there.
        let fine = uneven(121, v3(q.x * 95.0, q.y * 2.3, 0.0));
        let coarse = uneven(120, v3(q.x * 23.0, q.y * 0.9, 0.0));
        let under = if v > 0.0 || half.y < half.z { 1.0 } else { -v - STRAP_HALF };
        let drawn =
            smooth(mix(0.05, 0.3, coarse * coarse), 0.0, under) * smooth(0.35, 0.85, 0.55 * fine + 0.6 * coarse);
        let near = smooth(0.006, 0.0, edge.abs()).max(smooth(0.003, 0.0, (self.rivet(q) - HEAD_HALF).abs()));
        let field = grain(122, p * 7.0) + 0.5 * (grain(123, p * 38.0) - 0.5) + 0.2 * (uneven(119, p * 210.0) - 0.5);
        let rust = smooth(1.04 - 0.5 * self.rust, 1.2 - 0.5 * self.rust, field + 0.34 * near + 0.12 * drawn);
        // A plate between its frames is never flat.
        let buckled = v3(uneven(124, q * 3.1) - 0.5, uneven(125, q * 3.1) - 0.5, uneven(126, q * 3.1) - 0.5) * 0.09;
        if rust > 0.5 {
            let rough = v3(uneven(127, p * 240.0), uneven(128, p * 240.0), uneven(129, p * 240.0)) - v3(0.5, 0.5, 0.5);
            return Surface::of(RUST, normal).mixed(self.shade, 1.4 * (1.0 - rust)).bent(rough * 0.5);
        }
        let surface = brushed(v3(q.y, q.x, q.z), self.paint, self.shade, normal).bent(buckled);
        let stain = 0.75 * drawn * self.rust.sqrt();
        let (other, share) = if rust + stain > 0.06 {
            (RUST, (0.8 * rust + stain).min(0.8))
        } else {
            (self.shade, surface.share + 0.2 * smooth(0.004, 0.0, edge.abs()))
        };
        surface.mixed(other, share).glossy(0.035, 16.0)
    }
}
