//! A blue enamel jug.

use super::enamel::enamel;
use super::lathe::{line, section};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A blue enamel jug, white within, 215 mm high; its origin is the middle of its foot, the handle towards +x, the spout towards -x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jug {
    place: Place,
}

/// From the foot to the lip: radii at heights that are [`APART`] from each other; the curve between them is smooth.
const WALL: [f64; 12] = [0.0595, 0.0672, 0.0708, 0.0715, 0.0696, 0.0655, 0.0603, 0.0556, 0.0525, 0.0518, 0.0538, 0.059];
/// Metres of height between the radii.
const APART: f64 = 0.018;
/// Height of the first radius.
const FOOT: f64 = 0.0095;

/// The wall's radius at a height, by cubics through the points.
fn radius(height: f64) -> f64 {
    let at = ((height - FOOT) / APART).clamp(0.0, 10.999);
    let (first, t) = (at.floor() as usize, at.fract());
    let point = |place: usize| WALL.get(place).copied().unwrap_or(WALL[11]);
    let (b, c) = (point(first), point(first + 1));
    let (a, d) = (point(first.saturating_sub(1)), point(first + 2));
    let (from, to) = (0.5 * (c - a), 0.5 * (d - b));
    b + t * (from + t * (3.0 * (c - b) - 2.0 * from - to + t * (2.0 * (b - c) + from + to)))
}

impl Jug {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }
}

/// A band that rises from the belly, bends over and meets the neck.
fn handle(q: Vec3) -> f64 {
    let p = q - v3(0.064, 0.142, 0.0);
    let up = p.y - p.y.clamp(-0.03, 0.012);
    let bow = section(p.x.leg(up), p.z, [0.041, 0.0], [0.003, 0.0085], 0.0028);
    distance::common(bow, -0.008 - p.x, 0.002)
}

impl Shape for Jug {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.09, 0.0, -0.075), most: v3(0.11, 0.222, 0.075) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        // The lip is drawn out and up to a spout on one side.
        let drawn =
            (-q.x / 0.06).clamp(0.0, 1.2) * (1.0 - (q.z.abs() / 0.03).min(1.0)) * ((q.y - 0.15) / 0.06).clamp(0.0, 1.0);
        let (r, y) = (q.x.leg(q.z) - 0.018 * drawn, q.y - 0.004 * drawn);
        let rim = (r - 0.0592).leg(y - 0.2075) - 0.0023;
        let foot = (r - 0.053).leg(y - 0.003) - 0.003;
        let (wall, high) = (0.9 * (r - radius(y)).abs(), 0.5 * (0.2075 - FOOT));
        let wall = wall.max((y - FOOT - high).abs() - high);
        let bottom = line(r, y, [0.0, 0.0055], [0.0565, 0.0055]).min(line(r, y, [0.0565, 0.0055], [WALL[0], FOOT]));
        let shell = distance::joined(wall.min(bottom) - 0.0014, rim, 0.002).min(foot);
        // About the spout the wall leans out faster than a ray comes near it.
        let pot = if q.x < 0.03 && q.y > 0.12 { 0.7 * shell } else { 0.95 * shell };
        distance::joined(pot, handle(q), 0.005)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let out = self.place.inward(normal + self.place.at);
        let within = q.x * out.x + q.z * out.z < 0.0 && q.x < 0.05 && q.y < 0.206;
        let chips =
            [(v3(-0.02, 0.012, 0.058), 0.008), (v3(0.03, 0.208, 0.051), 0.006), (v3(0.102, 0.16, 0.006), 0.007)];
        enamel(q, normal, if within { 0.01 } else { -0.01 }, &chips)
    }
}
