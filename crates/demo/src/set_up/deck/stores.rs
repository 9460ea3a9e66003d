//! Stores on deck: crates of pine and a cask.

use crate::material::{IRON, OAK, OAK_DARK, PINE, PINE_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, chance, distance, grain, mix, smooth, v3};
use crate::trace::{Shape, Surface};

/// A crate of boards with a closed lid; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Crate {
    pub(super) place: Place,
    /// Half width, height and half depth in metres.
    pub(super) size: Vec3,
    pub(super) seed: u64,
}

/// Width of a board.
const BOARD: f64 = 0.094;

impl Crate {
    /// A point of the lid, `across` and `ahead` of its middle.
    pub(super) fn lid(&self, across: f64, ahead: f64) -> Vec3 {
        self.place.outward(v3(across, self.size.y, ahead))
    }
}

impl Shape for Crate {
    fn bounds(&self) -> Bounds {
        let s = self.size;
        self.place.bounds(&Bounds { least: v3(-s.x, 0.0, -s.z), most: v3(s.x, s.y, s.z) }.grown(0.016))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let s = self.size;
        let half = v3(s.x, s.y / 2.0, s.z);
        let c = q - v3(0.0, s.y / 2.0, 0.0);
        let body = distance::block(c, half, 0.006);
        if body > 0.03 {
            return body - 0.014;
        }
        // Battens at the corners, and a gap between boards of the sides.
        let corner = (c.x.abs() - half.x + 0.03).abs().max((c.z.abs() - half.z).abs() - 0.006) - 0.03;
        let batten = distance::block(c, half + v3(0.012, -0.008, 0.012), 0.005).max(corner);
        let up = q.y - (q.y / BOARD).round() * BOARD;
        let along = q.z - (q.z / BOARD).round() * BOARD;
        // Joints of the lid run across it, those of the sides below it.
        let below = c.y - half.y + 0.012;
        let gap = up.abs().max(below).min(along.abs().max(-below));
        body.max(0.004 - gap).min(batten)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let lid = q.y > self.size.y - 0.012;
        let board = ((if lid { q.z } else { q.y }) / BOARD).floor() as i64;
        let own = chance(self.seed, board, i64::from(lid), 3);
        // Grain runs along the boards, which run along x on lid and front and along z on the sides.
        let side = q.x.abs() > self.size.x - 0.002;
        let run = if side { v3(q.x * 40.0, q.y * 40.0, q.z * 2.0) } else { v3(q.x * 2.0, q.y * 40.0, q.z * 40.0) };
        let lines = grain(self.seed, run + v3(0.0, 0.0, 17.0 * own));
        let dirt = grain(self.seed + 5, q * 7.0);
        let dark = mix(0.15, 0.55, own) + 0.5 * smooth(0.35, 0.75, lines) + 0.3 * smooth(0.5, 0.8, dirt) - 0.2;
        Surface::of(PINE, normal).mixed(PINE_DARK, dark).glossy(0.02, 9.0)
    }
}

/// A cask that stands upright; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Cask {
    pub(super) at: Vec3,
}

impl Cask {
    /// Its height.
    pub(super) const HIGH: f64 = 0.92;
    /// The front at a height above its foot, towards +z.
    pub(super) fn front(&self, up: f64) -> Vec3 {
        let from_middle = (up / Self::HIGH - 0.5) * 2.0;
        self.at + v3(0.0, up, mix(Self::RADII[1], Self::RADII[0], from_middle * from_middle))
    }

    const RADII: [f64; 2] = [0.24, 0.30];
}

impl Shape for Cask {
    fn bounds(&self) -> Bounds {
        let wide = Self::RADII[1] + 0.006;
        Bounds { least: self.at - v3(wide, 0.0, wide), most: self.at + v3(wide, Self::HIGH, wide) }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.at;
        let from_middle = (q.y / Self::HIGH - 0.5) * 2.0;
        let belly = mix(Self::RADII[1], Self::RADII[0], from_middle * from_middle);
        let out = q.x.leg(q.z);
        let hoop = [0.07, 0.20, 0.72, 0.85].into_iter().fold(f64::INFINITY, |near: f64, h| near.min((q.y - h).abs()));
        let side = out - belly - 0.004 * smooth(0.026, 0.017, hoop);
        let body = side.max(q.y - Self::HIGH).max(-q.y);
        // The head lies a finger's breadth below the rim.
        let well = (out - Self::RADII[0] + 0.024).max(Self::HIGH - 0.022 - q.y);
        distance::without(body, well, 0.004) * 0.85
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.at;
        let hoop = [0.07, 0.20, 0.72, 0.85].into_iter().any(|h| (q.y - h).abs() < 0.020);
        if hoop && normal.y.abs() < 0.9 {
            return Surface::of(IRON, normal).glossy(0.04, 18.0);
        }
        let head = normal.y > 0.9;
        let stave = if head { q.x / 0.085 } else { q.z.atan2(q.x) * 3.5 };
        let own = chance(365, stave.floor() as i64, i64::from(head), 0);
        let joint = (stave - stave.floor() - 0.5).abs();
        let run = if head { v3(q.x * 44.0, 0.0, q.z * 3.0) } else { v3(q.x * 40.0, q.y * 3.0, q.z * 40.0) };
        let dark = 0.4 * own + 0.6 * smooth(0.35, 0.7, grain(366, run));
        let wood = Surface::of(OAK, normal).mixed(OAK_DARK, dark).glossy(0.03, 14.0);
        Surface { open: 1.0 - 0.6 * smooth(0.46, 0.49, joint), ..wood }
    }
}
