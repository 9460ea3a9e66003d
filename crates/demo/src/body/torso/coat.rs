//! What is sewn on the oilskin: collar, storm flap, cape, pockets, buttons.

use crate::body::cloth::{layer, panel};
use crate::space::Leg as _;
use crate::space::{Vec3, distance, v3};

/// The storm flap's middle, its half width, its thickness.
const FLAP: [f64; 3] = [0.022, 0.036, 0.006];
/// The topmost button under the pit of the neck, and the way to the next.
const BUTTONS: [f64; 2] = [-0.105, 0.118];
const BUTTON: f64 = 0.0115;

/// The coat with all that is sewn on, from the distance of its cloth.
pub fn sewn(q: Vec3, cloth: f64) -> f64 {
    if cloth > 0.1 {
        // The collar stands higher than all cloth.
        let neck = distance::block(q - v3(0.0, 0.01, -0.028), v3(0.130, 0.095, 0.130), 0.03);
        if neck > 0.06 {
            return (cloth - 0.017).min(neck);
        }
    }
    let mut all = cloth.min(layer(cloth, 0.007, cape(q), 0.003));
    if q.z > 0.0 {
        // The flap lies over the cape.
        all = all.min(layer(cloth, FLAP[2] + 0.006, flap(q), 0.003));
        all = all.min(layer(cloth, 0.007, pocket(q), 0.003));
        all = all.min(layer(cloth, FLAP[2] + 0.0105, button(q), 0.002));
    }
    // Far below the neck the cloth is nearer.
    if q.y < -0.2 { all } else { all.min(collar(q)).min(jumper(q)) }
}

/// Metres beyond the cape over the shoulders, which hangs lower in the middle.
fn cape(q: Vec3) -> f64 {
    let hem = -0.188 + 0.9 * q.x * q.x;
    (hem - q.y) * 0.9
}

fn flap(q: Vec3) -> f64 {
    panel(q.x - FLAP[0], q.y + 0.42, [FLAP[1], 0.395], 0.012)
}

/// Metres beyond the flaps of the pockets.
fn pocket(q: Vec3) -> f64 {
    let x = q.x.abs() - 0.118;
    // A little aslant, as pockets are.
    panel(x, q.y + 0.475 + 0.12 * x, [0.062, 0.030], 0.008)
}

/// Metres beyond the nearest button.
pub fn button(q: Vec3) -> f64 {
    let number = ((BUTTONS[0] - q.y) / BUTTONS[1]).round().clamp(0.0, 5.0);
    (q.x - FLAP[0] - 0.014).leg(q.y - BUTTONS[0] + number * BUTTONS[1]) - BUTTON
}

/// The collar, up: a wide band about the neck that opens in front.
pub fn collar(q: Vec3) -> f64 {
    let p = q - v3(0.0, 0.0, -0.028);
    // Wider than deep, leaning outward, its one side lower than the other.
    let around = (p.x * 0.97).leg(p.z * 1.04);
    let lean = 0.086 + 0.24 * (q.y + 0.01) + 0.012 * p.x * (q.y + 0.02) * 10.0;
    let shell = (around - lean).abs() * 0.94 - 0.0048;
    let top = q.y - 0.066 + 0.16 * p.z + 0.10 * p.x - 0.4 * (p.x * p.x);
    let foot = -0.05 - q.y;
    let gap = if p.z > 0.0 { 0.012 + 0.42 * (q.y + 0.03) - (q.x + 0.004).abs() } else { -1.0 };
    distance::common(distance::common(shell, top.max(foot) * 0.93, 0.006), gap * 0.85, 0.006)
}

/// The rolled neck of the jumper under it.
pub fn jumper(q: Vec3) -> f64 {
    let p = q - v3(0.0, 0.012, -0.022);
    let rise = p.y + 0.25 * p.z;
    let around = p.x.leg(p.z) - 0.058;
    let (a, b) = (around.abs() - 0.002, rise.abs() - 0.034);
    (a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0)) * 0.95 - 0.009
}

/// Rows of stitches, as a height in metres: along the hems of flap, pockets and cape.
pub fn stitched(q: Vec3) -> f64 {
    let row = |outside: f64| -> f64 {
        let off = (outside + 0.006).abs();
        if off < 0.002 { -0.0006 * (1.0 - off / 0.002) } else { 0.0 }
    };
    if q.z > 0.0 { row(flap(q)) + row(pocket(q)) + row(cape(q)) } else { row(cape(q)) }
}
