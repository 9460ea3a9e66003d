//! The deckhouse: its long side of riveted plates, a lip at its top, and what is fixed to it.

use super::LAMP;
use crate::material::{BRASS, DECK_PAINT, DECK_SHADE, IRON, RUST, SHIP_GREY, SHIP_WHITE};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Where the deckhouse's side stands, in x.
pub(super) const SIDE: f64 = -1.55;
/// Its height.
pub(super) const TOP: f64 = 2.62;

/// Paint that the weather has been at: stains that run down, rust that bleeds from `from` downwards.
fn weathered(p: Vec3, across: f64, normal: Vec3) -> Surface {
    let slow = grain(321, v3(across * 1.1, p.y * 0.7, 3.0));
    let runs = grain(322, v3(across * 16.0, p.y * 0.8, 1.0)) * smooth(2.4, 0.2, p.y);
    let bend = uneven(323, v3(across * 2.1, p.y * 2.3, 0.0)) - 0.5;
    Surface::of(SHIP_WHITE, normal)
        .mixed(SHIP_GREY, 0.75 * smooth(0.35, 0.75, slow) + 0.45 * smooth(0.45, 0.75, runs))
        .glossy(0.035, 14.0)
        .bent(v3(0.0, 0.03 * bend, 0.05 * bend))
}

/// The side, from `far` to `near` in z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Side {
    pub(super) far: f64,
    pub(super) near: f64,
}

impl Side {
    /// Length of a plate.
    const PLATE: f64 = 1.42;
    /// From rivet to rivet.
    const PITCH: f64 = 0.075;
}

impl Shape for Side {
    fn bounds(&self) -> Bounds {
        Bounds { least: v3(SIDE - 0.5, 0.0, self.far), most: v3(SIDE + 0.13, TOP, self.near) }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let wall = p.x - SIDE;
        let lip = distance::block(v3(wall - 0.03, p.y - TOP + 0.06, 0.0), v3(0.10, 0.05, 1.0), 0.02);
        let foot = distance::block(v3(wall, p.y - 0.06, 0.0), v3(0.035, 0.05, 1.0), 0.02);
        let ends = (p.z - self.near).max(self.far - p.z);
        distance::joined(wall, lip, 0.02).min(foot).max(ends)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let plain = weathered(p, p.z, normal);
        if p.x > SIDE + 0.012 {
            return plain;
        }
        // Plates overlap: a seam with a row of rivets to each side.
        let across = p.z - (p.z / Self::PLATE).round() * Self::PLATE;
        let rivet = v3(0.0, p.y - (p.y / Self::PITCH).round() * Self::PITCH, across.abs() - 0.035);
        let away = rivet.length() / 0.011;
        let rust = smooth(0.62, 0.8, grain(326, v3(p.z * 7.0, p.y * 1.7, 0.0))) * smooth(0.10, 0.0, across.abs());
        if away < 1.0 {
            let out = v3(0.0, rivet.y, rivet.z * across.signum()) * (0.8 / 0.011);
            return plain.bent(out * away);
        }
        let seam = smooth(0.006, 0.002, across.abs());
        let worn = if rust > plain.share { plain.mixed(RUST, rust) } else { plain };
        Surface { open: mix(1.0, 0.4, seam.max(smooth(1.5, 1.0, away) * 0.6)), ..worn }
    }
    fn shades(&self) -> bool {
        false
    }
}

/// A round window with a brass ring, its face to +x, lit from within.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Porthole {
    pub(super) middle: Vec3,
    /// How bright its pane is; 0 for a dark one.
    pub(super) level: f64,
}

impl Shape for Porthole {
    fn bounds(&self) -> Bounds {
        Bounds::around(self.middle + v3(0.009, 0.0, 0.0), v3(0.036, 0.21, 0.21))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.middle;
        let out = q.y.leg(q.z);
        let ring = (out - 0.17).leg(q.x - 0.005) - 0.03;
        let pane = q.x.max(-0.018 - q.x).max(out - 0.17);
        // Six bolts about the ring.
        let angle = q.z.atan2(q.y);
        let step = std::f64::consts::FRAC_PI_3;
        let turned = angle - (angle / step).round() * step;
        let bolt = (out * turned.cos() - 0.17).leg(out * turned.sin()).leg(q.x - 0.03) - 0.011;
        ring.min(pane).min(bolt)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.middle;
        let out = q.y.leg(q.z);
        if out > 0.145 {
            return Surface { metal: true, ..Surface::of(BRASS, normal).mixed(BRASS, 0.0).glossy(0.6, 24.0) };
        }
        // A curtain half drawn inside, the lamp behind it.
        let curtain = smooth(0.03, -0.03, q.z + 0.05 * q.y + 0.02);
        let folds = 0.75 + 0.25 * (q.z * 150.0).sin();
        let deep = smooth(0.17, 0.02, (q.z - 0.04).leg(q.y - 0.05));
        let level = self.level * mix(0.25 + 1.1 * deep, 0.5 * folds, curtain);
        Surface { glow: Some((LAMP, level)), ..Surface::of(IRON, normal).glossy(0.04, 80.0) }
    }
}

/// A steel door with round corners in a raised frame, its face to +x; `foot` is the middle of its sill.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Door {
    pub(super) foot: Vec3,
}

impl Shape for Door {
    fn bounds(&self) -> Bounds {
        Bounds::around(self.foot + v3(0.03, 0.98, 0.0), v3(0.09, 0.94, 0.46))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.foot - v3(0.0, 0.98, 0.0);
        let edge = distance::block(v3(q.z, q.y, 0.0), v3(0.42, 0.90, 1.0), 0.16);
        let frame = edge.abs().max(q.x.abs() - 0.035) - 0.012;
        let leaf = distance::without(edge.max(q.x - 0.012).max(-0.05 - q.x), -(edge + 0.09).abs() + 0.004, 0.004);
        // Dogs: short levers along both sides.
        let along = q.y - (q.y / 0.45).round().clamp(-1.0, 1.0) * 0.45;
        let side = v3(q.z.abs() - 0.40, along, q.x - 0.055);
        let dog = distance::limb(side, v3(0.0, 0.0, 0.0), v3(-0.13, -0.03, 0.0), 0.016, 0.011);
        frame.min(leaf).min(dog)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.foot;
        let stain = grain(331, v3(q.z * 2.0, q.y * 1.2, 5.0));
        if q.x > 0.04 {
            return Surface::of(IRON, normal).glossy(0.05, 30.0);
        }
        Surface::of(DECK_PAINT, normal).mixed(DECK_SHADE, smooth(0.3, 0.8, stain)).glossy(0.04, 18.0)
    }
}
