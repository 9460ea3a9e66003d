//! A blue enamel jug.

use super::enamel::enamel;
use super::lathe::{section, sheet};
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A blue enamel jug, white within, 215 mm high; its origin is the middle of its foot, the handle towards +x, the spout towards -x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jug {
    place: Place,
}

/// Bottom, belly, neck and lip: radius and height.
const WALL: [[f64; 2]; 12] = [
    [0.0, 0.006],
    [0.052, 0.006],
    [0.06, 0.01],
    [0.068, 0.03],
    [0.0715, 0.055],
    [0.0705, 0.08],
    [0.066, 0.105],
    [0.059, 0.13],
    [0.0535, 0.152],
    [0.052, 0.172],
    [0.0545, 0.192],
    [0.059, 0.207],
];

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
    let bow = section(p.x.hypot(up), p.z, [0.041, 0.0], [0.003, 0.0085], 0.0028);
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
        let (r, y) = (q.x.hypot(q.z) - 0.018 * drawn, q.y - 0.004 * drawn);
        let rim = (r - 0.0592).hypot(y - 0.2075) - 0.0023;
        let foot = (r - 0.053).hypot(y - 0.003) - 0.003;
        let shell = distance::joined(sheet(r, y, &WALL, 0.0014), rim, 0.002).min(foot);
        let pot = if drawn > 0.0 { 0.7 * shell } else { 0.95 * shell };
        if q.x > 0.02 { distance::joined(pot, handle(q), 0.005) } else { pot }
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
