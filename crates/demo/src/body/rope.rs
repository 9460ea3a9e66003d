//! A coil of tan rope on a hook, 300 mm across and 450 mm high, its front to +z, swinging with the ship; its origin is the hook.

use std::f64::consts::TAU;

use crate::material::{IRON, ROPE, ROPE_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Half the rope's thickness.
const THICK: f64 = 0.0105;
/// How far along the rope one strand is from the next.
const LAY: f64 = 0.026;
/// Seconds of a swing to and fro.
const PERIOD: f64 = 2.5;
/// Turns of the coil: the middle's place across, under the hook and towards the front; half the width below, half the
/// length of the straight part; how far it leans to the front as it goes to +x.
const TURNS: [[f64; 6]; 8] = [
    [0.006, -0.272, 0.026, 0.098, 0.070, 0.05],
    [-0.010, -0.285, 0.030, 0.112, 0.066, -0.10],
    [0.012, -0.276, 0.008, 0.088, 0.084, 0.14],
    [-0.004, -0.290, 0.004, 0.122, 0.074, 0.04],
    [-0.016, -0.268, 0.010, 0.102, 0.060, -0.16],
    [0.010, -0.296, -0.014, 0.116, 0.080, -0.03],
    [0.000, -0.280, -0.020, 0.096, 0.086, 0.11],
    [-0.008, -0.302, -0.030, 0.108, 0.078, -0.07],
];
/// The turns that bind the coil: how far under the hook, half the width, how far the front rises to +x.
const BINDING: [[f64; 3]; 4] =
    [[-0.098, 0.043, 0.10], [-0.119, 0.046, 0.07], [-0.140, 0.045, 0.12], [-0.162, 0.048, 0.06]];

/// A coil of tan rope on a hook, 300 mm across and 450 mm high, its front to +z, swinging with the ship; its origin is
/// the hook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rope {
    place: Place,
    sway: f64,
}

/// A place on the rope: its distance, how far along it is, the angle around it as a share of a turn.
struct Strand {
    distance: f64,
    along: f64,
    around: f64,
    /// Along the rope, and outward of its middle line.
    way: Vec3,
    off: Vec3,
}

impl Rope {
    /// Hanging from a hook on a wall 60 mm behind it; `sway` is the swing to each side in radians, 0 for a rope at rest.
    pub fn hanging(place: Place, sway: f64) -> Self {
        Self { place, sway }
    }

    /// A place of the front turn at rest, for a mark.
    pub fn tan(&self) -> Vec3 {
        let [x, y, z, half, straight, _] = TURNS[0];
        self.place.outward(v3(x, y - straight - half, z + THICK * 0.94))
    }

    /// The point as the coil sees it: swung back.
    fn still(&self, q: Vec3, seconds: f64) -> Vec3 {
        if self.sway == 0.0 {
            return q;
        }
        let (sine, cosine) = (-self.sway * (TAU * seconds / PERIOD).sin()).sin_cos();
        v3(q.x * cosine - q.y * sine, q.x * sine + q.y * cosine, q.z)
    }

    /// How narrow the coil is gathered at a height: 1 below.
    fn gathered(y: f64) -> f64 {
        mix(0.30, 1.0, smooth(-0.12, -0.30, y))
    }

    /// A point in a turn's own plane, unbent.
    fn unbent(q: Vec3, turn: &[f64; 6]) -> Vec3 {
        let [x, y, z, _, _, lean] = *turn;
        let narrow = Self::gathered(q.y);
        let bow = 0.10 * q.x * (q.y + 0.3);
        v3((q.x - x * narrow) / narrow, q.y - y, q.z - z * narrow - lean * q.x * 0.8 - bow)
    }

    fn turn(q: Vec3, turn: &[f64; 6]) -> f64 {
        let [.., half, straight, _] = *turn;
        let p = Self::unbent(q, turn);
        let up = p.y - p.y.clamp(-straight, straight);
        // Across the coil lengths shrink as it is gathered.
        let flat = (p.x.leg(up) - half) * mix(Self::gathered(q.y), 1.0, (up.abs() / half).min(1.0));
        flat.leg(p.z) - THICK
    }

    fn binding(q: Vec3, bind: &[f64; 3]) -> f64 {
        let [y, half, rise] = *bind;
        ((q.x.leg(q.z * 1.05) - half).leg(q.y - y - rise * q.z)) * 0.95 - THICK
    }

    /// The eye over the hook: its two sides and its bight.
    fn eye(q: Vec3) -> f64 {
        let up = q.y + 0.052;
        let up = up - up.clamp(-0.05, 0.038);
        ((q.x * 1.0).leg(up) - 0.019).leg(q.z - 0.002 + 0.1 * q.x) - THICK
    }

    fn hook(q: Vec3) -> f64 {
        let arm = distance::limb(q, v3(0.0, -0.004, -0.06), v3(0.0, -0.006, 0.026), 0.0062, 0.0062);
        let tip = distance::limb(q, v3(0.0, -0.006, 0.026), v3(0.0, 0.022, 0.036), 0.0062, 0.005);
        let plate = distance::block(q - v3(0.0, -0.004, -0.057), v3(0.02, 0.036, 0.004), 0.003);
        arm.min(tip).min(plate)
    }

    /// The coil without its hook.
    fn coil(q: Vec3) -> f64 {
        let mut least = f64::INFINITY;
        // Below: all turns are within a flat ring; looked at one by one only near it.
        let hull = distance::block(q - v3(0.0, -0.282, 0.0), v3(0.142, 0.222, 0.062), 0.04);
        if hull > 0.03 {
            least = hull;
        } else {
            for turn in &TURNS {
                least = least.min(Self::turn(q, turn) * 0.86);
            }
        }
        let top = distance::block(q - v3(0.0, -0.08, 0.0), v3(0.062, 0.11, 0.062), 0.0);
        if top > 0.02 {
            return least.min(top);
        }
        BINDING.iter().fold(least.min(Self::eye(q)), |least, bind| least.min(Self::binding(q, bind)))
    }

    /// The nearest strand's own coordinates.
    fn strand(q: Vec3) -> Strand {
        let mut best =
            Strand { distance: f64::INFINITY, along: 0.0, around: 0.0, way: v3(0.0, 1.0, 0.0), off: v3(0.0, 0.0, 1.0) };
        let mut consider = |distance: f64, along: f64, way: Vec3, off: Vec3, side: Vec3| {
            if distance < best.distance {
                let around = off.dot(way.cross(side)).atan2(off.dot(side)) / TAU;
                best = Strand { distance, along, around, way, off: off.unit() };
            }
        };
        for (number, turn) in TURNS.iter().enumerate() {
            let [.., half, straight, _] = *turn;
            let p = Self::unbent(q, turn);
            let middle = p.y.clamp(-straight, straight);
            let out = v3(p.x, p.y - middle, 0.0).unit();
            let along = (p.y - middle).atan2(p.x) * half + middle * out.x.signum() + 0.07 * number as f64;
            let off = out * (p.x.leg(p.y - middle) - half) + v3(0.0, 0.0, p.z);
            consider(Self::turn(q, turn), along, v3(-out.y, out.x, 0.0), off, v3(0.0, 0.0, 1.0));
        }
        for (number, bind) in BINDING.iter().enumerate() {
            let [y, half, rise] = *bind;
            let out = v3(q.x, 0.0, q.z * 1.05).unit();
            let along = q.z.atan2(q.x) * half + 0.05 * number as f64;
            let off = out * (q.x.leg(q.z * 1.05) - half) + v3(0.0, q.y - y - rise * q.z, 0.0);
            consider(Self::binding(q, bind), along, v3(-out.z, 0.0, out.x), off, v3(0.0, 1.0, 0.0));
        }
        let middle = (q.y + 0.052).clamp(-0.05, 0.038) - 0.052;
        let out = v3(q.x, q.y - middle, 0.0).unit();
        let along = (q.y - middle).atan2(q.x) * 0.019 + middle * out.x.signum();
        let off = out * (q.x.leg(q.y - middle) - 0.019) + v3(0.0, 0.0, q.z - 0.002 + 0.1 * q.x);
        consider(Self::eye(q), along, v3(-out.y, out.x, 0.0), off, v3(0.0, 0.0, 1.0));
        best
    }
}

impl Shape for Rope {
    fn bounds(&self) -> Bounds {
        let swing = 0.51 * self.sway.abs().sin();
        let own = Bounds { least: v3(-0.145 - swing, -0.51, -0.065), most: v3(0.145 + swing, 0.035, 0.066) };
        self.place.bounds(&own)
    }

    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        let q = self.place.inward(p);
        Self::coil(self.still(q, seconds)).min(Self::hook(q))
    }

    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        let (own, flat) = (self.place.inward(p), self.place.inward(self.place.at + normal));
        let q = self.still(own, seconds);
        if Self::hook(own) < Self::coil(q) {
            return Surface::of(IRON, normal).glossy(0.05, 24.0);
        }
        // Three strands go round the rope; each swells between the grooves and its yarns run aslant.
        let at = Self::strand(q);
        let phase = at.along / LAY + 3.0 * at.around;
        let share = phase - phase.floor();
        let groove = (2.0 * share - 1.0).abs();
        let swell = -(2.0 * share - 1.0) * (0.35 + 0.65 * groove * groove);
        let across = at.way.cross(at.off).unit();
        // Up the phase: along the rope by the lay, around by a third of the girth.
        let up = (at.way * (1.0 / LAY) + across * (3.0 / (TAU * THICK))).unit();
        let tilt = up * (-swell * 0.85);
        let yarn = uneven(91, v3(share * 6.0 + at.along * 40.0, phase.floor() * 7.0, at.along * 160.0));
        let dark = smooth(0.72, 1.0, groove) * 0.75 + 0.22 * yarn;
        let open = 1.0 - 0.45 * smooth(0.7, 1.0, groove);
        let surface = Surface { open, ..Surface::of(ROPE, flat).mixed(ROPE_DARK, dark) }.bent(tilt);
        Surface { normal: self.place.outward(surface.normal) - self.place.at, ..surface }
    }

    fn moves(&self) -> bool {
        self.sway != 0.0
    }
    fn dear(&self) -> bool {
        true
    }
}
