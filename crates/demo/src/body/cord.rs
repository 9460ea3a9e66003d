//! A coil of thin cord.

use crate::material::{ROPE, ROPE_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A coil of thin cord that lies flat, 190 mm across, its loose end to +x; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cord {
    place: Place,
}

/// Half its thickness in metres.
const THIN: f64 = 0.0036;
/// The turns: radius, height, where its middle lies, and how it tilts along x and z.
const TURNS: [[f64; 6]; 9] = [
    [0.088, 0.0036, 0.001, -0.002, 0.0, 0.0],
    [0.0805, 0.0038, -0.002, 0.001, 0.0, 0.004],
    [0.0728, 0.0036, 0.0015, 0.0015, 0.006, 0.0],
    [0.065, 0.004, -0.0005, -0.0025, 0.0, 0.0],
    [0.0572, 0.0038, 0.001, 0.001, 0.008, -0.006],
    [0.084, 0.0106, -0.003, 0.0015, 0.012, 0.01],
    [0.0765, 0.0106, 0.002, -0.003, -0.01, 0.016],
    [0.0695, 0.0108, -0.001, 0.0025, 0.012, -0.01],
    [0.075, 0.0172, 0.004, -0.003, 0.028, 0.02],
];

impl Cord {
    /// Lying at a place.
    pub fn lying(place: Place) -> Self {
        Self { place }
    }

    /// The nearest piece of cord: its distance, and the way along it and about it.
    fn nearest(q: Vec3) -> (f64, f64, Vec3) {
        let mut best = (f64::INFINITY, 0.0, v3(0.0, 1.0, 0.0));
        for [radius, height, x, z, lean_x, lean_z] in TURNS {
            let (u, w) = (q.x - x, q.z - z);
            let across = u.leg(w) - radius;
            let up = q.y - height - lean_x * u - lean_z * w;
            let away = across.leg(up) - THIN;
            if away < best.0 {
                best = (away, radius, v3(across, up, 0.0));
            }
        }
        // The loose end runs out from under the coil; three turns of it are whipped about the coil.
        let ends =
            [v3(0.07, 0.0036, 0.04), v3(0.105, 0.0036, 0.048), v3(0.135, 0.0036, 0.028), v3(0.155, 0.0036, 0.036)];
        for pair in ends.windows(2) {
            if let [from, to] = pair {
                let away = distance::limb(q, *from, *to, THIN, THIN);
                if away < best.0 {
                    best = (away, 0.0, q - *from);
                }
            }
        }
        let about = v3(q.x + 0.0735, q.y - 0.0125, 0.0).times(v3(0.55, 1.0, 0.0)).length() - 0.0125;
        let whipping = [-0.0075, 0.0, 0.0075].map(|z| about.leg(q.z - z + 0.1 * (q.x + 0.0735)) - THIN);
        for away in whipping {
            if 0.55 * away < best.0 {
                best = (0.55 * away, 0.0, v3(q.x, q.y, 0.0));
            }
        }
        best
    }
}

impl Shape for Cord {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.103, -0.0045, -0.094), most: v3(0.16, 0.03, 0.094) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        Self::nearest(self.place.inward(p)).0
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let (_, radius, beside) = Self::nearest(q);
        // Two laid strands: dark in the hollow between them, which winds about the cord.
        let way = if radius > 0.0 { radius * q.z.atan2(q.x) } else { beside.x + beside.z };
        let about = if radius > 0.0 { beside.y.atan2(beside.x) } else { 0.0 };
        let wound = (way / 0.0062 + about / std::f64::consts::PI).rem_euclid(1.0);
        let hollow = smooth(0.3, 0.05, (wound - 0.5).abs());
        let open = 1.0 - 0.35 * hollow;
        let share = 0.5 * hollow + 0.3 * uneven(171, q * 60.0);
        Surface { open, fine: Some(0.003), ..Surface::of(ROPE, normal).mixed(ROPE_DARK, share) }
    }
}
