//! A hand, bare or in a wool glove: palm, four fingers, a thumb.

use super::pose::Hand;
use crate::space::Leg as _;
use crate::space::{Vec3, distance, v3};

/// How far a hand reaches from its middle, in metres.
pub const REACH: f64 = 0.14;
/// Of each finger from the index on: its middle across the hand, and its length.
const FINGERS: [(f64, f64); 4] = [(0.0305, 0.076), (0.0105, 0.084), (-0.0095, 0.079), (-0.0285, 0.062)];

/// Distance of a point in the torso's own axes; `thick` is what a glove adds. `curl` bends the fingers of an open hand.
pub fn hand(q: Vec3, hand: &Hand, curl: f64, thick: f64) -> f64 {
    let p = q - hand.middle;
    // x out of the back, y towards the thumb, z ahead.
    let p = v3(p.dot(hand.back), p.dot(hand.along), p.dot(hand.ahead));
    let far = p.length() - REACH;
    if far > 0.06 {
        return far;
    }
    match hand.radius {
        Some(radius) => fist(p, radius) - thick,
        None => open(p, curl) - thick,
    }
}

/// A hand about a round thing of some radius that runs along y.
fn fist(p: Vec3, radius: f64) -> f64 {
    let palm = distance::block(p - v3(radius + 0.014, -0.001, -0.008), v3(0.013, 0.040, 0.044), 0.0125);
    let ring = radius + 0.0105;
    // The fingers begin at the palm's edge and go as far round as they are long.
    let begin = (0.024 / ring).min(0.8);
    let mut all = palm;
    for (height, length) in FINGERS {
        let half = (length / ring).min(2.5) / 2.0;
        all = distance::joined(all, arc(p.x, p.z, p.y - height, ring, begin + half, half) - 0.0088, 0.006);
    }
    // The knuckles stand out a little where the fingers begin.
    let thumb = radius + 0.013;
    let (root, joint, tip) = (
        v3(thumb + 0.001, 0.024, -0.034),
        v3(thumb * 0.62, 0.043, -thumb * 0.86),
        v3(-thumb * 0.10, 0.050, -thumb * 0.99),
    );
    let lower = distance::limb(p, root, joint, 0.0145, 0.0108);
    let upper = distance::limb(p, joint, tip, 0.0108, 0.0088);
    distance::joined(all, lower.min(upper), 0.012)
}

/// Distance from an arc of a circle about the origin of the plane of `u` and `v`, `h` off that plane: its middle's
/// angle from `u` towards `v` and half the angle that it spans.
fn arc(u: f64, v: f64, h: f64, ring: f64, middle: f64, half: f64) -> f64 {
    let (sine, cosine) = middle.sin_cos();
    let (a, b) = (u * cosine + v * sine, (v * cosine - u * sine).abs());
    let (end_sine, end_cosine) = half.sin_cos();
    let off = if end_cosine * b > end_sine * a {
        (a - ring * end_cosine).leg(b - ring * end_sine)
    } else {
        (a.leg(b) - ring).abs()
    };
    off.leg(h)
}

/// An open hand, its palm towards -x.
fn open(p: Vec3, curl: f64) -> f64 {
    let mut all = distance::block(p - v3(0.0, 0.0, -0.004), v3(0.0125, 0.040, 0.046), 0.012);
    for (side, length) in FINGERS {
        let root = v3(0.001, side, 0.036);
        let joint = v3(0.006 - 0.014 * curl, side * 1.10, 0.038 + length * (0.52 - 0.05 * curl));
        let tip = v3(-0.008 - 0.034 * curl, side * (1.22 - 0.2 * curl), 0.038 + length * (1.0 - 0.28 * curl));
        let finger = distance::limb(p, root, joint, 0.0098, 0.0090).min(distance::limb(p, joint, tip, 0.0090, 0.0076));
        all = distance::joined(all, finger, 0.006);
    }
    let (root, joint, tip) =
        (v3(-0.001, 0.027, -0.030), v3(-0.006 - 0.012 * curl, 0.051, 0.006), v3(-0.009 - 0.024 * curl, 0.053, 0.038));
    let thumb = distance::limb(p, root, joint, 0.0145, 0.0108).min(distance::limb(p, joint, tip, 0.0108, 0.0085));
    distance::joined(all, thumb, 0.012)
}
