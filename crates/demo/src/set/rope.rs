//! A coil of tan rope on a hook; it swings a little with the ship.

use super::Prop;
use super::look::{Look, round, unit};
use crate::geometry::{Area, Point, at, ellipse, mix, segment, smooth};
use crate::material::{IRON, ROPE, ROPE_DARK};
use std::f64::consts::TAU;

const TUBE: f64 = 0.115;
/// Loops of the coil, front first: middle (x, y) below the hook, half width, half height.
const LOOPS: [(f64, f64, f64, f64); 6] = [
    (0.05, 1.52, 0.74, 1.12),
    (-0.09, 1.60, 0.88, 1.18),
    (0.10, 1.66, 0.60, 1.06),
    (0.02, 1.70, 0.99, 1.24),
    (-0.12, 1.58, 0.70, 1.20),
    (0.07, 1.74, 0.84, 1.30),
];

/// A hanging coil.
pub struct Rope {
    hook: Point,
}

impl Rope {
    /// Hanging on a hook.
    pub fn hanging(hook: Point) -> Self {
        Self { hook }
    }

    /// The point as the coil sees it: swung back, hook at the origin.
    fn still(&self, p: Point, moment: f64) -> Point {
        let angle = 0.045 * (TAU * moment / 2.6).sin();
        p.from(self.hook).turned(-angle)
    }

    /// The loops are gathered under the hook: there they are narrow.
    fn gathered(q: Point) -> (Point, f64) {
        let width = mix(0.30, 1.0, smooth(0.2, 1.55, q.y));
        (at(q.x / width, q.y), width)
    }

    /// The surface of a twisted rope: `along` in stage units, `across` -1..1, outward direction of the stage.
    fn strand(along: f64, across: f64, out: [f64; 3]) -> Look {
        let turn = along / 0.17 + across * 0.55;
        let bulge = (turn * TAU / 2.0).sin().abs();
        let slope = (turn * TAU / 2.0).cos() * (turn * TAU / 2.0).sin().signum();
        let fibres = (turn * 41.0 + across * 9.0).sin() * 0.5 + 0.5;
        let body = round(across, out[0], out[1]);
        // Each strand bulges along the rope.
        let normal = [body[0] - 0.45 * slope * -out[1], body[1] - 0.45 * slope * out[0], body[2] + 0.15];
        let dark = smooth(0.5, 0.0, bulge) * 0.9 + 0.12 * fibres;
        Look::of(ROPE)
            .mixed(ROPE_DARK, dark)
            .facing(normal)
            .open(mix(0.45, 1.0, smooth(0.0, 0.5, bulge)) * mix(1.0, 0.6, across * across))
    }

    /// The turns that bind the coil below the hook.
    fn binding(q: Point) -> Option<Look> {
        if !(0.50..1.02).contains(&q.y) {
            return None;
        }
        let turn = ((q.y - 0.50) / 0.173).floor();
        let across = (q.y - 0.50 - (turn + 0.5) * 0.173) / 0.0865;
        // Every turn goes round the back, so its ends are round.
        let end = 0.33 + 0.07 * (1.0 - across * across).max(0.0).sqrt();
        if q.x.abs() > end {
            return None;
        }
        let bow = (q.x / end).powi(2);
        let look = Self::strand(0.6 * q.x + 0.05 * turn, across, [0.0, 1.0, 0.0]);
        let body = mix(0.6, 1.0, 1.0 - across * across);
        Some(look.open(body * (1.0 - 0.7 * bow * bow)))
    }
}

impl Prop for Rope {
    fn area(&self) -> Area {
        Area::new(self.hook.x - 1.35, self.hook.y - 0.2, 2.7, 3.55)
    }

    fn look(&self, p: Point, moment: f64) -> Option<Look> {
        // The hook is on the wall and does not swing.
        let from_hook = p.from(self.hook);
        if from_hook.length() < 0.13 {
            return Some(Look::of(IRON).facing([from_hook.x / 0.15, from_hook.y / 0.15, 0.6]).glossy(0.2, 30.0));
        }
        let q = self.still(p, moment);
        if let Some(look) = Self::binding(q) {
            return Some(look);
        }
        let (g, width) = Self::gathered(q);
        for (depth, &(x, y, half_width, half_height)) in LOOPS.iter().enumerate() {
            let c = g.from(at(x, y));
            let distance = ellipse(c, half_width, half_height) * mix(width, 1.0, (c.y / half_height).abs().min(1.0));
            if distance.abs() < TUBE {
                let out = unit([c.x / (half_width * half_width), c.y / (half_height * half_height), 0.0]);
                let along = (c.y / half_height).atan2(c.x / half_width) * (half_width + half_height) / 2.0 * 1.02;
                let look = Self::strand(along, distance / TUBE, out);
                let deeper = 1.0 - 0.09 * depth as f64;
                return Some(look.open(deeper * mix(0.55, 1.0, smooth(0.0, 1.0, 1.0 - (distance / TUBE).abs()))));
            }
        }
        // The loop that goes up to the hook.
        let up = segment(q, at(0.0, 0.0), at(0.0, 0.55));
        if up < TUBE {
            return Some(Self::strand(q.y, q.x / TUBE, [1.0, 0.0, 0.0]));
        }
        None
    }

    fn outline(&self, p: Point, moment: f64) -> f64 {
        let q = self.still(p, moment);
        let (g, width) = Self::gathered(q);
        let outer = ellipse(g.from(at(0.0, 1.66)), 1.02, 1.36) * width;
        let inner = ellipse(g.from(at(0.0, 1.64)), 0.50, 0.92) * width;
        outer.max(-inner).min(segment(q, at(0.0, 0.0), at(0.0, 0.9)) - 0.2)
    }
    fn depth(&self) -> f64 {
        0.28
    }
    fn moves(&self) -> bool {
        true
    }
}
