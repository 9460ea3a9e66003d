//! A flat coil of tan rope, hung over a cleat or carried, 300 mm across and 420 mm high with its loose end.

use std::f64::consts::TAU;

use crate::material::{IRON, ROPE, ROPE_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Half the rope's thickness.
const THICK: f64 = 0.0105;
/// How far along the rope one strand is from the next.
const LAY: f64 = 0.026;
/// Seconds of a swing to and fro.
const PERIOD: f64 = 2.5;
/// The middle of the coil under its origin, and half the length of its straight sides.
const MIDDLE: f64 = -0.128;
const STRAIGHT: f64 = 0.018;
/// Turns of the coil, close beside each other: the middle's place across, above the coil's and towards the front; half
/// the width; how far the front rises to +x, upwards, and to both.
const TURNS: [[f64; 7]; 16] = [
    [0.001, 0.000, 0.0215, 0.1335, 0.03, -0.02, 0.3],
    [-0.001, -0.001, 0.0230, 0.1130, -0.02, 0.02, -0.4],
    [0.001, 0.001, 0.0240, 0.0925, 0.02, 0.03, 0.0],
    [0.000, -0.001, 0.0235, 0.0715, -0.04, 0.01, 0.5],
    [-0.001, 0.000, 0.0220, 0.0510, 0.05, -0.03, 0.0],
    [-0.001, 0.001, 0.0010, 0.1330, -0.03, 0.03, 0.0],
    [0.001, 0.000, 0.0015, 0.1125, 0.02, 0.00, 0.3],
    [0.000, 0.000, 0.0000, 0.0920, 0.00, 0.02, 0.0],
    [0.000, 0.001, 0.0020, 0.0715, 0.02, 0.02, 0.0],
    [0.001, -0.001, 0.0010, 0.0505, -0.04, 0.03, 0.0],
    [0.001, -0.002, -0.0200, 0.1335, 0.02, 0.02, -0.3],
    [0.000, 0.000, -0.0195, 0.1125, 0.00, -0.02, 0.0],
    [0.001, 0.000, -0.0205, 0.0920, -0.02, 0.00, 0.0],
    [0.000, 0.001, -0.0190, 0.0715, 0.03, 0.00, 0.0],
    [0.000, 0.000, -0.0200, 0.0510, 0.00, 0.03, 0.0],
    // The last turn was laid on askew.
    [-0.006, 0.007, 0.0280, 0.1180, -0.085, 0.06, 0.4],
];
/// The three turns that bind the coil at its side: above the coil's middle, how far they rise outwards.
const BINDING: [[f64; 2]; 3] = [[0.022, 0.05], [0.001, 0.02], [-0.020, 0.06]];
/// The middle of the binding across and half its width and depth.
const BOUND: [f64; 3] = [0.0935, 0.0545, 0.0385];
/// The loose end.
const END: [[f64; 3]; 4] =
    [[-0.080, -0.205, 0.034], [-0.090, -0.262, 0.042], [-0.084, -0.325, 0.034], [-0.078, -0.376, 0.026]];

/// A flat coil of tan rope, 300 mm across, its front to +z, that may swing with the ship; its origin is the middle of the
/// top of its turns.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rope {
    place: Place,
    sway: f64,
    cleat: bool,
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
    /// Hanging over a cleat on a wall 60 mm behind it; `sway` is the swing to each side in radians, 0 for a rope at rest.
    pub fn hanging(place: Place, sway: f64) -> Self {
        Self { place, sway, cleat: true }
    }

    /// Held by somebody.
    pub fn carried(place: Place) -> Self {
        Self { place, sway: 0.0, cleat: false }
    }

    /// A place of a front turn at rest, for a mark.
    pub fn tan(&self) -> Vec3 {
        let [x, y, z, half, _, rise, _] = TURNS[2];
        let below = -STRAIGHT - half;
        self.place.outward(v3(x, MIDDLE + y + below, z + rise * below + THICK))
    }

    /// The point as the coil sees it: swung back.
    fn still(&self, q: Vec3, seconds: f64) -> Vec3 {
        if self.sway == 0.0 {
            return q;
        }
        let (sine, cosine) = (-self.sway * (TAU * seconds / PERIOD).sin()).sin_cos();
        v3(q.x * cosine - q.y * sine, q.x * sine + q.y * cosine, q.z)
    }

    /// A point beside a turn: across from the nearest straight side or end of it, and off its plane.
    fn beside(q: Vec3, turn: &[f64; 7]) -> Vec3 {
        let [x, y, z, _, lean, rise, twist] = *turn;
        let (u, v) = (q.x - x, q.y - MIDDLE - y);
        v3(u, v - v.clamp(-STRAIGHT, STRAIGHT), q.z - z - lean * u - rise * v - twist * u * v)
    }

    /// Squared distance from the middle line of a turn.
    fn turn(q: Vec3, turn: &[f64; 7]) -> f64 {
        let p = Self::beside(q, turn);
        let off = p.x.leg(p.y) - turn[3];
        off * off + p.z * p.z
    }

    /// A point beside a turn of the binding: off its oval and off its plane.
    fn bound(q: Vec3, [above, rise]: [f64; 2]) -> [f64; 2] {
        let [across, wide, deep] = BOUND;
        let x = q.x - across;
        let round = 0.030;
        let (u, w) = (x.abs() - wide + round, q.z.abs() - deep + round);
        let oval = u.max(0.0).leg(w.max(0.0)) + u.max(w).min(0.0) - round;
        [oval, q.y - MIDDLE - above - rise * x]
    }

    fn end(q: Vec3) -> f64 {
        let limb = |pair: &[[f64; 3]]| match pair {
            [[a, b, c], [d, e, f]] => distance::limb(q, v3(*a, *b, *c), v3(*d, *e, *f), THICK, THICK),
            _ => f64::INFINITY,
        };
        END.windows(2).map(limb).fold(f64::INFINITY, f64::min)
    }

    /// The cleat: a foot in the wall, and two horns before the coil.
    fn cleat(q: Vec3) -> f64 {
        let foot = distance::limb(q, v3(0.0, -0.086, -0.06), v3(0.0, -0.086, 0.050), 0.0150, 0.0130);
        let horn =
            distance::limb(v3(q.x.abs(), q.y, q.z), v3(0.0, -0.087, 0.056), v3(0.064, -0.072, 0.059), 0.0115, 0.007);
        distance::joined(foot, horn, 0.012)
    }

    /// The coil without its cleat.
    fn coil(q: Vec3) -> f64 {
        // All turns are within a flat ring; they are looked at one by one only near it.
        let up = q.y - MIDDLE;
        let radius = q.x.leg(up - up.clamp(-STRAIGHT, STRAIGHT));
        let (out, deep) = ((radius - 0.0935).abs() - 0.0625, q.z.abs() - 0.0525);
        let hull = out.max(0.0).leg(deep.max(0.0));
        if hull > 0.02 {
            return if q.y < -0.2 { hull.min(Self::end(q)) } else { hull };
        }
        let turns = TURNS.iter().fold(f64::INFINITY, |least, turn| least.min(Self::turn(q, turn)));
        let mut least = 0.95 * (turns.sqrt() - THICK);
        if q.x > 0.0 && up.abs() < 0.06 {
            for bind in BINDING {
                let [oval, off] = Self::bound(q, bind);
                least = least.min(0.99 * (oval.leg(off) - THICK));
            }
        }
        if q.y < -0.15 { least.min(Self::end(q)) } else { least }
    }

    /// The nearest strand's own coordinates.
    fn strand(q: Vec3) -> Strand {
        let mut best =
            Strand { distance: f64::INFINITY, along: 0.0, around: 0.0, way: v3(0.0, 1.0, 0.0), off: v3(0.0, 0.0, 1.0) };
        let mut consider = |along: f64, way: Vec3, off: Vec3, side: Vec3| {
            let distance = off.length();
            if distance < best.distance {
                let around = off.dot(way.cross(side)).atan2(off.dot(side)) / TAU;
                best = Strand { distance, along, around, way, off: off.unit() };
            }
        };
        for (number, turn) in TURNS.iter().enumerate() {
            let p = Self::beside(q, turn);
            let half = turn[3];
            let out = v3(p.x, p.y, 0.0).unit();
            let along = p.y.atan2(p.x) * half + (q.y - MIDDLE - turn[1] - p.y) * out.x.signum() + 0.07 * number as f64;
            let off = out * (p.x.leg(p.y) - half) + v3(0.0, 0.0, p.z);
            consider(along, v3(-out.y, out.x, 0.0), off, v3(0.0, 0.0, 1.0));
        }
        for (number, bind) in BINDING.into_iter().enumerate() {
            let [oval, off] = Self::bound(q, bind);
            // The way out of an oval is near enough that out of an ellipse, and squarer.
            let [across, wide, deep] = BOUND;
            let (x, z) = (q.x - across, q.z);
            let out = v3((x / wide).powi(3), 0.0, (z / deep).powi(3)).unit();
            let along = z.atan2(x) * (wide + deep) / 2.0;
            consider(
                along + 0.05 * number as f64,
                v3(-out.z, 0.0, out.x),
                out * oval + v3(0.0, off, 0.0),
                v3(0.0, 1.0, 0.0),
            );
        }
        let mut along = 0.0;
        for pair in END.windows(2) {
            if let [[a, b, c], [d, e, f]] = pair {
                let (from, way) = (v3(*a, *b, *c), v3(d - a, e - b, f - c));
                let share = ((q - from).dot(way) / way.dot(way)).clamp(0.0, 1.0);
                consider(along + share * way.length(), way.unit(), q - from - way * share, v3(0.0, 0.0, 1.0));
                along += way.length();
            }
        }
        best
    }
}

impl Shape for Rope {
    fn bounds(&self) -> Bounds {
        let swing = 0.40 * self.sway.abs().sin();
        let own = Bounds { least: v3(-0.158 - swing, -0.40, -0.075), most: v3(0.166 + swing, 0.046, 0.076) };
        self.place.bounds(&own)
    }

    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        let q = self.place.inward(p);
        let coil = Self::coil(self.still(q, seconds));
        // A swing shears the coil, and what its hull hides comes nearer than the hull says.
        0.93 * if self.cleat { coil.min(Self::cleat(q)) } else { coil }
    }

    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        let (own, flat) = (self.place.inward(p), self.place.inward(self.place.at + normal));
        let q = self.still(own, seconds);
        if self.cleat && Self::cleat(own) < Self::coil(q) {
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
