//! The console under the forward windows: a long body along z with a sloping face to +x, dials, levers and lamps in it.

use super::sources::{RADAR, RED, TUBES};
use crate::material::{BLACK, BRASS, CREAM, IRON, OAK, OAK_DARK, SAGE_SHADE, STEEL};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, grain, smooth, v3};
use crate::trace::{Shape, Surface};

/// The console, by the box that it fills.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Console {
    bounds: Bounds,
}

/// How far the sloping face falls, in metres a metre.
const SLOPE: f64 = 0.55;
/// Metres between two dials.
const DIALS: f64 = 0.15;

impl Console {
    /// A console that fills a box; its face looks to +x and up.
    pub fn new(bounds: Bounds) -> Self {
        Self { bounds }
    }

    /// Height above the sloping face, and the way down it from its upper edge.
    fn face(&self, p: Vec3) -> (f64, f64) {
        let (x, y) = (p.x - self.bounds.most.x + 0.26, p.y - self.bounds.most.y);
        let length = (1.0 + SLOPE * SLOPE).sqrt();
        ((y + SLOPE * x) / length, (x - SLOPE * y) / length)
    }

    /// The dial next to a place: across and down from its middle, and its number.
    fn dial(&self, p: Vec3, down: f64) -> (f64, f64, f64) {
        let along = (p.z - self.bounds.least.z) / DIALS;
        ((along - along.floor() - 0.5) * DIALS, down - 0.1, along.floor())
    }
}

impl Shape for Console {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let body = distance::block(p - self.bounds.centre(), self.bounds.half(), 0.012);
        let (above, down) = self.face(p);
        let shell = distance::common(body, above, 0.01);
        if above > 0.05 || body > 0.05 {
            return shell - 0.012;
        }
        let (across, along, _) = self.dial(p, down);
        let out = across.leg(along);
        let bezel = (out - 0.043).abs().leg(above - 0.001) - 0.007;
        shell.min(bezel.max(body))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (above, down) = self.face(p);
        let (across, along, number) = self.dial(p, down);
        let out = across.leg(along);
        let worn = grain(41, p * 14.0);
        let paint = Surface::of(SAGE_SHADE, normal).mixed(STEEL, 0.35 * smooth(0.5, 0.85, worn)).glossy(0.03, 24.0);
        if above < -0.012 || !(-0.01..0.3).contains(&down) {
            let rail = p.y > self.bounds.most.y - 0.3 && normal.x > 0.7 && above > -0.06;
            let lines = grain(43, v3(p.x * 20.0, p.y * 40.0, p.z * 3.0));
            return if rail {
                Surface::of(OAK, normal).mixed(OAK_DARK, smooth(0.3, 0.8, lines)).glossy(0.04, 30.0)
            } else {
                paint
            };
        }
        if out > 0.036 && out < 0.051 {
            return Surface { metal: true, fine: Some(0.003), ..Surface::of(BRASS, normal).glossy(0.6, 50.0) };
        }
        if out < 0.036 {
            let angle = across.atan2(-along);
            let tick = (angle * 6.0 / std::f64::consts::PI).fract().abs();
            let mark = out > 0.026 && out < 0.032 && !(0.14..=0.86).contains(&tick);
            let lie = 0.6 + 1.1 * (number * 2.399).sin();
            let (sine, cosine) = lie.sin_cos();
            let (side, ahead) = (across * cosine + along * sine, across * sine - along * cosine);
            let needle = side.abs() < 0.0018 && ahead > -0.01 && ahead < 0.028;
            let ink = if mark || needle { BLACK } else { CREAM };
            return Surface {
                fine: Some(0.003),
                glow: (ink == CREAM).then_some((TUBES, 0.05)),
                ..Surface::of(ink, normal).glossy(0.04, 120.0)
            };
        }
        // A row of small lamps below the dials.
        let (lamp, row) = ((p.z / 0.043).floor(), (p.z / 0.043).fract().abs() - 0.5);
        let off = (row * 0.043).leg(down - 0.2);
        if off < 0.0075 {
            let lit = [Some((RADAR, 0.5)), None, None, Some((RED, 0.22)), None][(lamp as i64).rem_euclid(5) as usize];
            return Surface { fine: Some(0.003), glow: lit, ..Surface::of(IRON, normal).glossy(0.05, 80.0) };
        }
        paint
    }
}
