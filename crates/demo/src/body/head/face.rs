//! The skin's form: skull, cheekbones, jaw and flesh, with nose, lips, lids and ears joined on. In millimetres.
//!
//! Every feature has a ball beyond which it changes nothing, so that a place pays only for what is near it.

use super::features::Features;
use super::{ear, eye, mouth, nose};
use crate::space::{Vec3, distance, v3};

/// Side of the face that a point is on: 0 for -x, 1 for +x.
pub fn side(p: Vec3) -> usize {
    usize::from(p.x > 0.0)
}

/// The point on the side of +x.
pub fn folded(p: Vec3) -> Vec3 {
    v3(p.x.abs(), p.y, p.z)
}

/// A hill of height 1 around a centre that ends, smoothly, at its half axes.
pub fn hill(p: Vec3, centre: Vec3, half: Vec3) -> f64 {
    let q = p - centre;
    let level = v3(q.x / half.x, q.y / half.y, q.z / half.z);
    let rest = 1.0 - level.dot(level);
    if rest > 0.0 { rest * rest * rest } else { 0.0 }
}

/// A hill along a line, of height 1 and a half width.
pub fn ridge(p: Vec3, from: Vec3, to: Vec3, half: f64) -> f64 {
    let (along, q) = (to - from, p - from);
    let share = (q.dot(along) / along.dot(along)).clamp(0.0, 1.0);
    let away = q - along * share;
    let rest = 1.0 - away.dot(away) / (half * half);
    // Towards both ends it runs out.
    if rest > 0.0 { rest * rest * (4.0 * share * (1.0 - share)).min(1.0) } else { 0.0 }
}

/// Distance to the skin; lids with it, eyeballs not.
pub fn skin(f: &Features, p: Vec3) -> f64 {
    let q = folded(p);
    let mut d = bone(f, q);
    if d > 46.0 {
        return d - 26.0;
    }
    d -= flesh(f, p, q);
    d = eye::socket(f, q, d);
    d = nose::on(f, p, d);
    d = mouth::on(f, p, d);
    d = eye::lids(f, q, side(p), d);
    ear::on(q, d)
}

/// Skull, jaw and the soft parts over them.
fn bone(f: &Features, q: Vec3) -> f64 {
    let [x, y, z] = f.skull;
    let mut d = distance::ellipsoid(q - v3(0.0, 36.0, -8.0), v3(x, y, z));
    // Nothing of the face reaches far up or back.
    if q.y > 60.0 || q.z < -50.0 {
        return d;
    }
    d = distance::joined(d, distance::limb(q, v3(0.0, 16.0, 79.0), v3(40.0, 17.0, 60.0), 9.0 + f.ridge, 9.0), 17.0);
    d = distance::joined(d, distance::ellipsoid(q - v3(0.0, -42.0, 38.0), v3(50.0 + 0.4 * f.cheeks, 68.0, 50.0)), 18.0);
    let bone = distance::limb(q, v3(35.0, -24.0, 65.0), v3(f.cheekbones - 2.0, -13.0, 16.0), 11.0, 8.0);
    d = distance::joined(d, bone, 18.0);
    let corner = v3(f.jaw, -72.0, 4.0);
    d = distance::joined(d, distance::limb(q, corner, v3(17.0, -103.0, 68.0 + f.chin[1]), 11.0, 11.5), 18.0);
    d = distance::joined(d, distance::limb(q, corner, v3(f.cheekbones - 3.0, -12.0, 0.0), 11.0, 7.0), 18.0);
    let cheek = v3(24.0 + f.cheeks, 38.0, 31.0 + f.cheeks);
    d = distance::joined(d, distance::ellipsoid(q - v3(32.0, -52.0, 40.0), cheek), 18.0);
    let chin = v3(f.chin[0], 13.0, 16.0);
    distance::joined(d, distance::ellipsoid(q - v3(0.0, -103.0, 75.0 + f.chin[1]), chin), 14.0)
}

/// How far flesh stands out over the bone, or lies in; what is told of one side is mirrored.
fn flesh(f: &Features, p: Vec3, q: Vec3) -> f64 {
    let mut out = -2.6 * hill(q, v3(66.0, 24.0, 44.0), v3(24.0, 34.0, 34.0));
    if q.z < 40.0 {
        return out;
    }
    // The hollow between nose and cheek, and the fold that runs down from the wing of the nose.
    out -= 2.0 * ridge(q, v3(14.0, -14.0, 80.0), v3(38.0, -24.0, 76.0), 11.0);
    let fold = [v3(16.0, -42.0, 90.0), v3(31.0, -76.0, 76.0)];
    out -= f.folds * ridge(q, fold[0], fold[1], 7.0);
    out += 0.9 * f.folds * ridge(q, fold[0] + v3(7.5, 2.0, -3.0), fold[1] + v3(8.0, 2.0, -5.0), 11.0);
    // Under the lower lip, beside the chin, and the groove under the nose.
    out -= 2.6 * hill(p, v3(0.0, -90.0, 90.0), v3(22.0, 9.0, 22.0));
    out -= 1.2 * ridge(p, v3(0.0, -50.0, 96.0), v3(0.0, -66.0, 98.0), 5.0);
    // One brow's corner stands a little higher than the other.
    out + 1.2 * hill(p, v3(22.0, 20.0, 84.0), v3(18.0, 10.0, 20.0)) - 1.0 * hill(p, v3(0.0, 12.0, 92.0), v3(5.0, 14.0, 14.0))
}
