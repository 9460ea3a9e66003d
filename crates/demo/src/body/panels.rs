//! The foam panels of a life vest with straps, buckles and tape, over whatever body it lies on.

use super::cloth::{bend, creases, layer, panel};
use crate::material::{BUCKLE, TAPE, VEST, WEBBING};
use crate::space::Leg as _;
use crate::space::{Vec3, distance, smooth, uneven, v3};
use crate::trace::Surface;

/// A plain orange place of the right panel: across and up, from the middle between the shoulders.
pub const PLAIN: [f64; 2] = [0.088, -0.262];

/// Where the front is quilted.
const SEAMS: [f64; 2] = [-0.185, -0.325];
/// The straps' heights.
const STRAPS: [f64; 2] = [-0.345, -0.455];
/// Half the width of a strap, and its thickness.
const STRAP: [f64; 2] = [0.019, 0.0028];

/// How far a point is from each part of the vest.
pub struct Panels {
    foam: f64,
    strap: f64,
    buckle: f64,
    /// Metres beyond the outline of the nearest panel.
    outside: f64,
}

/// The vest over a body whose distance is `body`, at a point from the middle between the shoulders, +z in front.
pub fn panels(q: Vec3, body: f64) -> Panels {
    if body > 0.09 {
        let far = body - 0.06;
        return Panels { foam: far, strap: far, buckle: far, outside: 1.0 };
    }
    // Quilted: less foam at the seams, a soft cushion between them.
    let seam = SEAMS.iter().map(|at| (q.y - at + 0.15 * q.x * q.x).abs()).fold(f64::INFINITY, f64::min);
    let slow = uneven(81, q * 9.0);
    let panel_of = |outside: f64| {
        let dip = 0.013 * (1.0 - smooth(0.0, 0.034, seam)) * smooth(0.0, 0.03, -outside);
        layer(body, 0.041 - dip + 0.006 * (slow - 0.5), outside, 0.017)
    };
    // Front and back are cut otherwise; each ends where the other begins.
    let [front, back] = outlines(q);
    let foam = panel_of(front).max(-q.z).min(panel_of(back).max(q.z));
    let outside = if q.z > 0.0 { front } else { back };
    let mut vest = Panels { foam, strap: f64::INFINITY, buckle: f64::INFINITY, outside };
    // Over the shoulders, and around the belly where it spans from panel to panel.
    let yoke = layer(body, 0.011, panel(q.x.abs() - 0.108, q.z, [0.030, 0.12], 0.004).max(-0.10 - q.y), 0.003);
    vest.foam = distance::joined(vest.foam, yoke, 0.012);
    let hull = layer(body, 0.040, (panel(q.x, q.y + 0.29, [0.175, 0.26], 0.03)).max(-0.52 - q.y), 0.02);
    let over = vest.foam.min(hull);
    for (number, at) in STRAPS.iter().enumerate() {
        let sag = 0.006 * (number as f64 + 1.0) * (1.0 - (q.x * 6.0).powi(2)).max(0.0);
        let across = (q.y - at + sag).abs() - STRAP[0];
        vest.strap = vest.strap.min(layer(over, STRAP[1] + 0.001, across, 0.0015));
        if q.z > 0.0 {
            let (x, y) = (q.x - 0.006, q.y - at + sag);
            let frame = panel(x, y, [0.031, 0.024], 0.006);
            let groove = 0.0025 * (1.0 - smooth(0.002, 0.005, (x.abs() - 0.012).abs()));
            vest.buckle = vest.buckle.min(layer(over, 0.0125 - groove, frame, 0.003));
        }
    }
    vest
}

/// Metres beyond the two panels in front, and beyond the one behind.
fn outlines(q: Vec3) -> [f64; 2] {
    let x = q.x.abs();
    // The side goes in under the arm and out again at the ribs.
    let outer = x - 0.168 + 0.034 * smooth(-0.25, -0.08, q.y);
    // In front the neck is cut as a V and goes over into the gap.
    let inner = 0.0075 + 0.10 * smooth(-0.22, -0.03, q.y) - x;
    let along = (-0.515 - q.y).max(q.y + 0.052) + 0.02;
    [inner.max(outer), outer].map(|across| {
        let (a, b) = (across + 0.02, along);
        (a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - 0.02) * 0.9
    })
}

impl Panels {
    /// Distance of the whole vest.
    pub fn distance(&self) -> f64 {
        self.foam.min(self.strap).min(self.buckle)
    }

    /// What is met at a place of it.
    pub fn surface(&self, q: Vec3, normal: Vec3) -> Surface {
        if self.buckle < self.foam.min(self.strap) {
            return Surface::of(BUCKLE, normal).glossy(0.045, 30.0);
        }
        if self.strap < self.foam {
            let ribs = |p: Vec3| 0.0003 * uneven(84, v3(p.x * 30.0, p.y * 420.0, p.z * 30.0));
            return Surface::of(WEBBING, normal).glossy(0.025, 8.0).bent(bend(q, normal, ribs));
        }
        let height =
            |p: Vec3| 0.0034 * creases(86, v3(p.x * 17.0, p.y * 24.0, p.z * 17.0)) + 0.0008 * creases(89, p * 52.0);
        let bent = bend(q, normal, height);
        // Bound along the edges in black.
        let rim = self.outside > -0.006 && self.outside < 0.02 && q.y < -0.075;
        if rim {
            return Surface::of(WEBBING, normal).glossy(0.02, 8.0);
        }
        let x = q.x.abs() - 0.088;
        if q.z > 0.0 && panel(x, q.y + 0.145, [0.026, 0.025], 0.004) < 0.0
            || (q.y + 0.03).abs() < 0.02 && q.z.abs() < 0.07
        {
            return Surface::of(TAPE, normal).glossy(0.30, 9.0).bent(bent * 0.5);
        }
        let deep = creases(86, v3(q.x * 17.0, q.y * 24.0, q.z * 17.0));
        Surface { open: 0.88 + 0.12 * (deep * 3.0).min(1.0), ..Surface::of(VEST, normal).glossy(0.028, 9.0) }.bent(bent)
    }
}
