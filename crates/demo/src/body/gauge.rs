//! Round brass instruments: a ship's clock and a pressure gauge.

use std::f64::consts::TAU;

use super::lathe::section;
use crate::material::{BLACK, BRASS, ENAMEL, RED};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A round brass instrument on a wall, its dial to +z; its origin is the middle of its back.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gauge {
    place: Place,
    radius: f64,
    /// Hours of the clock; none for a pressure gauge.
    hours: Option<f64>,
}

impl Gauge {
    /// A clock of a radius in metres that stands at so many hours.
    pub fn clock(place: Place, radius: f64, hours: f64) -> Self {
        Self { place, radius, hours: Some(hours) }
    }

    /// A pressure gauge of a radius in metres.
    pub fn pressure(place: Place, radius: f64) -> Self {
        Self { place, radius, hours: None }
    }

    /// Whether a point of the dial is printed, by its way from the middle and its turn from the top, in units of the dial;
    /// and whether in red.
    fn print(&self, u: f64, v: f64) -> Option<bool> {
        let r = u.leg(v);
        let turn = u.atan2(v) / TAU;
        // Which of `count` marks around, and how far beside it.
        let beside = |count: f64| (r * TAU * ((turn * count).round() / count - turn)).abs();
        let hand = |turned: f64, length: f64, wide: f64| {
            let (sine, cosine) = (TAU * turned).sin_cos();
            let (along, across) = (u * sine + v * cosine, (u * cosine - v * sine).abs());
            along > -0.18 && along < length && across < wide * (1.15 - 0.75 * along.max(0.0) / length)
        };
        if let Some(hours) = self.hours {
            if r < 0.06 || hand(hours / 12.0, 0.52, 0.05) || hand(hours.fract(), 0.8, 0.035) {
                return Some(false);
            }
            let minute = (0.9..0.95).contains(&r) && beside(60.0) < 0.012;
            let hour = (0.72..0.95).contains(&r) && beside(12.0) < 0.026;
            return (minute || hour).then_some(false);
        }
        if r < 0.09 || hand(0.14, 0.8, 0.045) {
            return Some(false);
        }
        if turn.abs() > 0.39 {
            return None;
        }
        if turn > 0.24 && (0.62..0.68).contains(&r) {
            return Some(true);
        }
        let fine = (0.82..0.92).contains(&r) && beside(50.0) < 0.012;
        let coarse = (0.7..0.92).contains(&r) && beside(10.0) < 0.022;
        (fine || coarse || (0.92..0.935).contains(&r)).then_some(false)
    }
}

impl Shape for Gauge {
    fn bounds(&self) -> Bounds {
        let half = 1.13 * self.radius;
        self.place.bounds(&Bounds { least: v3(-half, -half, 0.0), most: v3(half, half, 0.55 * self.radius) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p) * (1.0 / self.radius);
        let r = q.x.leg(q.y);
        let flange = section(r, q.z, [0.0, 0.04], [1.12, 0.04], 0.03);
        let case = section(r, q.z, [0.0, 0.2], [0.98, 0.2], 0.06);
        let dial = section(r, q.z, [0.0, 0.3], [0.86, 0.3], 0.0);
        let bezel = (r - 0.92).leg(q.z - 0.41) - 0.105;
        let screw = (r - 1.05).leg(q.z - 0.06).max(distance::block(
            v3(q.x.abs() - 0.742, q.y.abs() - 0.742, 0.0),
            v3(0.05, 0.05, 1.0),
            0.0,
        )) - 0.04;
        // The dial lies deep in the case, behind the bezel.
        let hollow = case.max(-section(r, q.z, [0.0, 0.5], [0.86, 0.2], 0.0)).min(dial.max(q.z - 0.3));
        self.radius * hollow.min(flange).min(bezel).min(screw)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let own = self.place.inward(p);
        let q = own * (1.0 / self.radius);
        if q.x.leg(q.y) < 0.86 && q.z < 0.32 {
            let (u, v) = (q.x / 0.86, q.y / 0.86);
            let aged = 0.12 * smooth(0.5, 1.0, u.leg(v)) + 0.1 * uneven(161, own * 60.0);
            let surface = match self.print(u, v) {
                Some(true) => Surface::of(RED, normal),
                Some(false) => Surface::of(BLACK, normal),
                None => Surface::of(ENAMEL, normal).mixed(BRASS, aged),
            };
            // Under glass.
            return Surface { fine: Some(0.001), ..surface.glossy(0.04, 260.0) };
        }
        let dull = smooth(0.35, 0.8, uneven(162, own * 45.0) * 0.75 + 0.25 * uneven(163, own * 190.0));
        Surface { metal: true, ..Surface::of(BRASS, normal).glossy(mix(0.8, 0.45, dull), mix(100.0, 24.0, dull)) }
    }
}
