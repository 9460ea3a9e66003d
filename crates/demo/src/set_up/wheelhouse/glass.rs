//! A pane of glass with the night behind it: the sky's last light, the sea, and far lamps out of focus.

use super::sources::{HARBOUR, NIGHT, RED};
use crate::material::NIGHT as NIGHT_GLASS;
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, smooth, v3};
use crate::trace::{Shape, Surface};

/// A pane. What lies beyond is so far away that it is seen by direction, from where the camera stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pane {
    bounds: Bounds,
    eye: Vec3,
}

impl Pane {
    /// A pane that fills a thin box, seen from a place.
    pub fn new(bounds: Bounds, eye: Vec3) -> Self {
        Self { bounds, eye }
    }
}

/// A far lamp as a lens draws it when it is set on something near: a disc, by its bearing and height in radians.
struct Disc {
    bearing: f64,
    height: f64,
    radius: f64,
    source: usize,
    level: f64,
}

const fn disc(bearing: f64, height: f64, radius: f64, source: usize, level: f64) -> Disc {
    Disc { bearing, height, radius, source, level }
}

/// The shore that the ferry leaves, by bearing; 0 is straight behind the camera's front, plus to the right.
const SHORE: [Disc; 14] = [
    disc(-0.460, 0.012, 0.0048, HARBOUR, 0.24),
    disc(-0.432, 0.004, 0.0039, HARBOUR, 0.11),
    disc(-0.395, 0.020, 0.0051, HARBOUR, 0.36),
    disc(-0.352, 0.002, 0.0036, HARBOUR, 0.08),
    disc(-0.315, 0.011, 0.0046, HARBOUR, 0.18),
    disc(-0.262, 0.031, 0.0051, RED, 0.13),
    disc(-0.236, 0.006, 0.0041, HARBOUR, 0.14),
    disc(-0.052, 0.008, 0.0046, HARBOUR, 0.21),
    disc(-0.021, 0.003, 0.0036, HARBOUR, 0.09),
    disc(0.022, 0.017, 0.0050, HARBOUR, 0.30),
    disc(0.044, 0.005, 0.0039, HARBOUR, 0.10),
    disc(0.083, 0.009, 0.0044, HARBOUR, 0.16),
    disc(0.108, 0.026, 0.0047, HARBOUR, 0.13),
    disc(-0.160, 0.004, 0.0037, HARBOUR, 0.10),
];

impl Shape for Pane {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        distance::block(p - self.bounds.centre(), self.bounds.half(), 0.0)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        // Old glass is not quite flat: what it mirrors wavers a little.
        let waver = v3((p.y * 7.0 + p.z * 3.0).sin(), (p.x * 6.0 - p.z * 5.0).cos(), 0.0) * 0.0012;
        let surface = Surface::of(NIGHT_GLASS, normal).bent(waver).glossy(0.045, 1000.0);
        let away = p - self.eye;
        let (bearing, height) = (away.x.atan2(-away.z), (away.y / away.x.leg(away.z)).atan());
        let lamp = SHORE.iter().find_map(|disc| {
            let off = (bearing - disc.bearing).leg(height - disc.height) / disc.radius;
            // A disc is a little brighter at its rim, as lenses draw it.
            (off < 1.0).then(|| (disc.source, disc.level * (0.8 + 0.2 * off) * (1.0 - smooth(0.86, 1.0, off))))
        });
        let sky = 0.0018 + 0.0055 * (1.0 - smooth(0.0, 0.13, height));
        let sea = 0.001 + 0.001 * smooth(-0.1, 0.0, height);
        let behind = sea + (sky - sea) * smooth(-0.006, 0.006, height);
        Surface { glow: Some(lamp.unwrap_or((NIGHT, behind))), fine: lamp.map(|_| 0.003), ..surface }
    }
    fn shades(&self) -> bool {
        false
    }
}
