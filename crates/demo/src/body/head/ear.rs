//! An ear: a leaf with a rolled rim, a bowl and a lobe. In millimetres.

use super::form::Egg;
use crate::space::{Vec3, distance, v3};

/// The middle of the ear of the side of +x.
pub const MIDDLE: Vec3 = v3(72.5, -8.0, -8.0);

// In the ear's own axes: x off the head, y along the leaf, z to the front.
const LEAF: Egg = Egg::new(v3(-1.0, -1.0, 0.0), v3(3.4, 28.0, 15.5));
const LOBE: Egg = Egg::new(v3(0.5, -25.0, 3.0), v3(4.2, 8.5, 7.0));
const BOWL: Egg = Egg::new(v3(4.0, -5.0, 3.5), v3(6.5, 11.5, 7.0));
const LID: Egg = Egg::new(v3(1.5, -7.0, 13.5), v3(3.5, 5.0, 4.0));

/// The skin with an ear on it, for the side of +x.
pub fn on(q: Vec3, skin: f64) -> f64 {
    let e = q - MIDDLE;
    if e.dot(e) > 40.0 * 40.0 {
        return skin;
    }
    distance::joined(skin, leaf(e), 4.5)
}

/// Distance to the ear alone, from its middle.
pub fn leaf(e: Vec3) -> f64 {
    // Its leaf stands off to the back and leans back at its top.
    let e = v3(0.94 * e.x - 0.342 * e.z, e.y, 0.342 * e.x + 0.94 * e.z);
    let e = v3(e.x, 0.985 * e.y - 0.174 * e.z, 0.174 * e.y + 0.985 * e.z);
    let leaf = LEAF.distance(e);
    if leaf > 20.0 {
        return leaf - 5.0;
    }
    // The rim runs along an oval that is narrower below.
    let level = v3(e.y * (1.0 / 29.0), e.z / (16.0 + 0.09 * e.y), 0.0).length() * 17.0;
    let ring = |level: f64, off: f64, thick: f64| (level * level + (e.x - off) * (e.x - off)).sqrt() - thick;
    let mut d = distance::joined(leaf, ring(level - 15.6, 2.0, 2.7), 2.0);
    if e.z < 4.0 {
        d = distance::joined(d, ring(level - 9.4, 0.5, 2.4), 2.5);
    }
    d = distance::joined(d, LOBE.distance(e), 4.0);
    d = distance::without(d, BOWL.distance(e), 2.5);
    distance::joined(d, LID.distance(e), 3.0)
}
