//! An ear: a leaf with a rolled rim, a bowl and a lobe. In millimetres.

use crate::space::{Vec3, distance, v3};

/// The skin with an ear on it, for the side of +x.
pub fn on(q: Vec3, skin: f64) -> f64 {
    let e = q - v3(72.5, -8.0, -8.0);
    if e.length() > 44.0 {
        return skin;
    }
    // Its leaf stands off to the back and leans back at its top.
    let e = v3(0.94 * e.x - 0.342 * e.z, e.y, 0.342 * e.x + 0.94 * e.z);
    let e = v3(e.x, 0.985 * e.y - 0.174 * e.z, 0.174 * e.y + 0.985 * e.z);
    let leaf = distance::ellipsoid(e - v3(-1.0, -1.0, 0.0), v3(3.4, 28.0, 15.5));
    // The rim runs along an oval that is narrower below.
    let wide = 16.0 + 0.09 * e.y;
    let oval = ((e.y / 29.0).powi(2) + (e.z / wide).powi(2)).sqrt();
    let rim = (((oval - 0.92) * 17.0).powi(2) + (e.x - 2.0).powi(2)).sqrt() - 2.7;
    let inner = (((oval - 0.55) * 17.0).powi(2) + (e.x - 0.5).powi(2)).sqrt() - 2.4;
    let mut d = distance::joined(leaf, rim, 2.0);
    if e.z < 4.0 {
        d = distance::joined(d, inner, 2.5);
    }
    d = distance::joined(d, distance::ellipsoid(e - v3(0.5, -25.0, 3.0), v3(4.2, 8.5, 7.0)), 4.0);
    d = distance::without(d, distance::ellipsoid(e - v3(4.0, -5.0, 3.5), v3(6.5, 11.5, 7.0)), 2.5);
    d = distance::joined(d, distance::ellipsoid(e - v3(1.5, -7.0, 13.5), v3(3.5, 5.0, 4.0)), 3.0);
    distance::joined(skin, d, 4.5)
}
