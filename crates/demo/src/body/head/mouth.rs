//! The mouth: two lips along the arch of the teeth. In millimetres.

use super::features::Features;
use crate::space::{Vec3, distance, smooth, v3};

/// Height of the line between the lips.
const LINE: f64 = -72.5;
/// Front of the teeth.
const FRONT: f64 = 90.2;

/// Distances to the upper and the lower lip.
fn lips(f: &Features, p: Vec3) -> [f64; 2] {
    let x = p.x.abs();
    let along = (x / f.mouth).min(1.0);
    let beyond = (x - f.mouth).max(0.0);
    let full = 1.0 - along * along;
    let arch = FRONT - 0.0125 * x * x;
    let line = LINE + f.corners * along * along - 0.7 * smooth(0.0, 0.5, along) * full;
    let [upper, lower] = f.lips;
    // The upper lip dips in its middle.
    let bow = 1.1 * smooth(0.0, 6.0, x) * full;
    let section = |height: f64, depth: f64, radius: f64| {
        v3(beyond, p.y - line - height, p.z - arch - depth).length() - radius
    };
    let above = section(upper * (0.55 + 0.35 * full) + bow, 0.2, 1.0 + (upper - 0.2) * full.max(0.0).sqrt());
    let below = section(-lower * (0.5 + 0.45 * full), -0.8, 1.0 + (lower - 0.6) * full.max(0.0).sqrt());
    [above, below]
}

/// The skin with the mouth on it.
pub fn on(f: &Features, p: Vec3, skin: f64) -> f64 {
    if (p - v3(0.0, -72.0, 84.0)).length() > 50.0 {
        return skin;
    }
    let teeth = distance::ellipsoid(p - v3(0.0, -70.0, 66.0), v3(30.0, 21.0, 25.0));
    let [above, below] = lips(f, p);
    let d = distance::joined(skin, teeth, 13.0);
    let mut d = distance::joined(d, distance::joined(above, below, 0.7), 5.0);
    let q = v3(p.x.abs(), p.y, p.z);
    // The corners lie in.
    let corner = (q - v3(f.mouth + 1.5, LINE + f.corners, 84.0)).length();
    d += 2.2 * (1.0 - smooth(0.0, 7.0, corner));
    d
}

/// 0..1: how red a place of the skin is with the lips.
pub fn red(f: &Features, p: Vec3) -> f64 {
    if (p - v3(0.0, -72.0, 92.0)).length() > 34.0 {
        return 0.0;
    }
    let [above, below] = lips(f, p);
    1.0 - smooth(0.3, 1.5, above.min(below))
}

/// How far a place is from the lips.
pub fn away(f: &Features, p: Vec3) -> f64 {
    let [above, below] = lips(f, p);
    above.min(below)
}
