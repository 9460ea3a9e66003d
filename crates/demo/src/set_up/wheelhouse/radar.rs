//! The radar: a case on a foot, and its round screen with rings, echoes and a beam that goes round.

use std::f64::consts::TAU;

use super::sources::RADAR;
use crate::material::{BLACK, IRON, SAGE_SHADE, STEEL};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, grain, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// How far the screen leans back, in radians.
const LEAN: f64 = 0.42;
/// The screen's radius in metres.
const RADIUS: f64 = 0.122;
/// Seconds of one turn of the beam.
const TURN_SECONDS: f64 = 2.5;

/// The screen's own axes of a point: x across, y up its face, z out of it.
fn of_screen(place: &Place, p: Vec3) -> Vec3 {
    (place.inward(p) - v3(0.0, 0.26, 0.05)).turned_x(LEAN)
}

/// The case of the radar; its origin is the middle of its foot, its screen to +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Case {
    place: Place,
}

impl Case {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }
}

impl Shape for Case {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.2, 0.0, -0.27), most: v3(0.2, 0.47, 0.19) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = of_screen(&self.place, p);
        let body = distance::block(q - v3(0.0, 0.0, -0.12), v3(0.172, 0.162, 0.115), 0.02);
        let mouth = q.x.leg(q.y) - RADIUS - 0.012 - 0.25 * (q.z + 0.02).max(0.0);
        let hollow = mouth.max(-0.018 - q.z);
        let collar = distance::ring(v3(q.x, q.z - 0.002, q.y), RADIUS + 0.022, 0.011);
        let knob = v3(q.x.abs() - 0.134, q.y + 0.130, q.z - 0.008);
        let knob = (knob.x.leg(knob.y) - 0.013).max(knob.z.abs() - 0.016);
        let foot = distance::block(self.place.inward(p) - v3(0.0, 0.06, -0.06), v3(0.12, 0.06, 0.1), 0.015);
        distance::without(body, hollow, 0.006).min(collar).min(knob).min(foot)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = of_screen(&self.place, p);
        let out = q.x.leg(q.y);
        let dark = out < RADIUS + 0.034 || (q.y < -0.113 && q.x.abs() > 0.11 && q.z > -0.002);
        let worn = grain(31, q * 24.0);
        let paint = if dark { IRON } else { SAGE_SHADE };
        let edge = smooth(0.62, 0.8, worn) * if dark { 0.2 } else { 0.45 };
        Surface { soft: 0.0, ..Surface::of(paint, normal).mixed(STEEL, edge).glossy(0.04, 28.0) }
    }
}

/// The screen of the radar at the same place.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Screen {
    place: Place,
    bounds: Bounds,
}

impl Screen {
    /// Of a case at a place.
    pub fn of(place: Place) -> Self {
        let normal = place.outward(v3(0.0, LEAN.sin(), LEAN.cos())) - place.at;
        let reach = |along: f64| RADIUS * (1.0 - along * along).max(0.0).sqrt() + 0.003;
        let half = v3(reach(normal.x), reach(normal.y), reach(normal.z));
        let middle = v3(0.0, 0.26, 0.05) + v3(0.0, -LEAN.sin(), -LEAN.cos()) * 0.014;
        Self { place, bounds: Bounds::around(place.outward(middle), half) }
    }

    /// A point before the middle of the screen, where its light comes from.
    pub fn before(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.26, 0.05) + v3(0.0, LEAN.sin(), LEAN.cos()) * 0.09)
    }

    /// How bright the screen is at a place of its own, beside a perfect diffuser in full light.
    fn bright(x: f64, y: f64, seconds: f64) -> f64 {
        let (out, bearing) = (x.leg(y) / RADIUS, x.atan2(y));
        let since = (TAU * seconds / TURN_SECONDS + 0.9 - bearing).rem_euclid(TAU);
        let line = |off: f64, wide: f64| (-(off / wide) * (off / wide)).exp();
        let rings: f64 = (1..=4).map(|ring| line(out - 0.235 * f64::from(ring), 0.011)).sum();
        let ahead = line(x / RADIUS, 0.008) * smooth(0.0, 0.04, y / RADIUS) * 0.6;
        // A coast to the left and astern, two islands, and a few ships that leave a short trail.
        let shore = out - 0.74 + 0.30 * (bearing + 1.9).cos() + 0.16 * (uneven(5, v3(bearing * 3.0, 0.0, 0.0)) - 0.5);
        let coast = line(shore.max(0.0) - 0.02, 0.05)
            * smooth(0.0, 0.02, shore)
            * smooth(0.25, 0.65, uneven(9, v3(x, y, 0.0) * 170.0));
        let behind = smooth(0.0, 0.03, shore) * 0.35 * smooth(0.45, 0.8, uneven(12, v3(x, y, 0.0) * 110.0));
        let ships: f64 = [(0.42, 0.38), (-0.12, 0.66), (0.55, -0.30), (0.20, -0.52), (-0.30, 0.22)]
            .into_iter()
            .map(|(a, b)| line((x / RADIUS - a).leg((y / RADIUS - b) * 1.3), 0.026))
            .sum();
        let echo = (coast + behind + ships).min(1.3) * (0.3 + 0.7 * (-since * 0.55).exp());
        // Its front is as wide as the beam, not a line.
        let front = 1.06 * smooth(0.035, 0.0, TAU - since);
        let beam = 0.9 * (-since * 26.0).exp() + 0.16 * (-since * 2.4).exp() + front;
        let face = 0.016 + 0.11 * rings + 0.16 * ahead + 0.62 * echo + 0.6 * beam;
        face * (1.0 - smooth(0.94, 0.985, out))
    }
}

impl Shape for Screen {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = of_screen(&self.place, p);
        (q.x.leg(q.y) - RADIUS).max((q.z + 0.014).abs() - 0.003)
    }
    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        let q = of_screen(&self.place, p);
        let glow = Some((RADAR, Self::bright(q.x, q.y, seconds)));
        Surface { glow, fine: Some(0.003), ..Surface::of(BLACK, normal).glossy(0.03, 1200.0) }
    }
    fn moves(&self) -> bool {
        true
    }
    fn shades(&self) -> bool {
        false
    }
}
