//! The nose: bridge, tip, wings and nostrils. In millimetres.

use super::features::Features;
use crate::space::{Vec3, distance, v3};

/// The skin with the nose on it.
pub fn on(f: &Features, p: Vec3, skin: f64) -> f64 {
    if (p - v3(0.0, -28.0, 96.0)).length() > 56.0 {
        return skin;
    }
    let [bridge, tip, wings] = f.nose;
    let [height, front] = f.tip;
    // The lower, the further out of the middle.
    let lean = ((6.0 - p.y) / (6.0 - height)).clamp(0.0, 1.0);
    let p = p - v3(f.bent * lean, 0.0, 0.0);
    let q = v3(p.x.abs(), p.y, p.z);
    let back = distance::limb(q, v3(0.0, 8.0, 84.0), v3(0.0, height + 5.0, front - tip - 1.0), bridge, tip - 2.0);
    let hump = distance::ellipsoid(q - v3(0.0, -13.0, 92.0), v3(bridge + 0.6, 11.0, 7.0 + f.hump));
    let ball = distance::ellipsoid(q - v3(0.0, height, front - tip), v3(tip, tip * 0.88, tip));
    let flank = distance::limb(q, v3(5.0, -8.0, 80.0), v3(wings - 6.0, height + 1.0, front - 22.0), 6.0, 6.5);
    let wing = distance::ellipsoid(q - v3(wings - 5.5, height - 3.0, front - 17.5), v3(6.6, 7.4, 10.5));
    let foot = distance::limb(q, v3(0.0, height - 6.0, front - 9.0), v3(0.0, height - 10.0, front - 22.0), 3.6, 4.5);
    let mut d = distance::joined(skin, flank, 9.0);
    d = distance::joined(d, distance::joined(back, hump, 5.0), 8.0);
    d = distance::joined(d, ball, 5.0);
    d = distance::joined(d, wing, 3.4);
    d = distance::joined(d, foot, 4.0);
    let nostril = distance::ellipsoid(
        (q - v3(wings - 9.0, height - 10.2, front - 15.5)).turned_y(-0.42),
        v3(3.3, 4.6, 6.6),
    );
    distance::without(d, nostril, 1.8)
}
