//! What is sewn on the cook's jacket: the double breast with its knots, a stand-up collar, a rolled neckerchief.

use crate::body::cloth::{bend, creases, folds, layer};
use crate::material::{COTTON, KERCHIEF, KERCHIEF_FADED};
use crate::space::Leg as _;
use crate::space::{Vec3, distance, smooth, uneven, v3};
use crate::trace::Surface;

/// Where the columns of knots are to each side of the middle, the topmost under the pit of the neck, the way to the next.
const COLUMN: f64 = 0.058;
const KNOTS: [f64; 2] = [-0.095, 0.082];
const KNOT: f64 = 0.0082;

/// The jacket with all that is sewn on, from the distances of its cloth and of the trunk's.
pub fn sewn(q: Vec3, cloth: f64, trunk: f64) -> f64 {
    if cloth > 0.1 {
        // Collar and kerchief stand higher than all cloth.
        let neck = distance::block(q - v3(0.0, 0.01, -0.01), v3(0.120, 0.105, 0.135), 0.03);
        if neck > 0.06 {
            return (cloth - 0.015).min(neck);
        }
    }
    let mut all = cloth;
    // The upper breast ends at the sides, where its edge is as round as elsewhere.
    if q.z > -0.03 {
        all = all.min(layer(trunk, 0.0052, breast(q).max(-q.z), 0.0022));
    }
    if q.z > 0.0 {
        all = all.min(layer(trunk, 0.0125, knot(q), 0.0055));
    }
    // Far below the neck the cloth is nearer.
    if q.y < -0.25 { all } else { all.min(collar(q)).min(kerchief(q)) }
}

/// Metres beyond the upper breast, which laps over to -x and narrows downward.
fn breast(q: Vec3) -> f64 {
    let edge = -0.088 + 0.05 * smooth(-0.25, -0.7, q.y);
    let lap = (edge - q.x) * 0.98;
    lap.max(q.y + 0.02)
}

fn knot(q: Vec3) -> f64 {
    let number = ((KNOTS[0] - q.y) / KNOTS[1]).round().clamp(0.0, 6.0);
    let column = COLUMN - 0.014 * smooth(-0.25, -0.65, q.y);
    (q.x.abs() - column).leg(q.y - KNOTS[0] + number * KNOTS[1]) - KNOT
}

fn collar(q: Vec3) -> f64 {
    let p = q - v3(0.0, 0.0, -0.026);
    let around = (p.x * 0.98).leg(p.z * 1.03);
    let shell = (around - 0.072 - 0.10 * (q.y + 0.03)).abs() * 0.96 - 0.0035;
    let top = q.y - 0.052 + 0.42 * p.z - 0.05 * p.x;
    let foot = -0.05 - q.y;
    let gap = if p.z > 0.0 { 0.004 + 0.5 * (q.y + 0.035) - q.x.abs() } else { -1.0 };
    distance::common(distance::common(shell, top.max(foot) * 0.9, 0.005), gap * 0.85, 0.005)
}

/// A cloth rolled about the neck, knotted in front, its two ends hanging.
fn kerchief(q: Vec3) -> f64 {
    let p = q - v3(0.0, 0.030, -0.020);
    // The ring leans to the front.
    let rise = p.y + 0.46 * p.z;
    let plain = ((p.x * 0.98).leg(p.z) - 0.076).leg(rise) * 0.88;
    let far = plain.min((p - v3(0.0, -0.06, 0.09)).length() - 0.05) - 0.02;
    if far > 0.03 {
        return far;
    }
    let turn = folds(31, (p.x * 1.3 + rise * 1.7 + 0.7 * p.z * p.x.signum()) / 0.030);
    let ring = plain - 0.0155 - 0.004 * turn;
    let knot = distance::ellipsoid(p - v3(0.003, -0.040, 0.086), v3(0.017, 0.0145, 0.0135));
    let crumple = 0.0035 * folds(33, (q.x - 0.3 * q.y) / 0.011);
    let tail = |to: Vec3| distance::limb(p, v3(0.002, -0.044, 0.088), to, 0.0085, 0.0145) * 0.9 - crumple;
    let tails = tail(v3(-0.026, -0.098, 0.108)).min(tail(v3(0.034, -0.090, 0.106)));
    distance::joined(ring, distance::joined(knot, tails, 0.006), 0.006)
}

/// What is met at a place of it.
pub fn surface(q: Vec3, normal: Vec3) -> Surface {
    if kerchief(q) < 0.0012 {
        let height = |p: Vec3| 0.0022 * creases(35, p * 42.0);
        let faded = 0.35 * uneven(36, q * 30.0);
        return Surface::of(KERCHIEF, normal).mixed(KERCHIEF_FADED, 0.9 * faded).bent(bend(q, normal, height));
    }
    let height = |p: Vec3| 0.0030 * creases(51, p * 15.0) + 0.0011 * creases(54, p * 36.0) + seams(p);
    let deep = creases(51, q * 15.0);
    Surface { soft: 0.08, open: 0.9 + 0.1 * (deep * 3.0).min(1.0), ..Surface::of(COTTON, normal) }
        .bent(bend(q, normal, height))
}

/// Stitches along the lap.
fn seams(q: Vec3) -> f64 {
    if q.z < 0.0 {
        return 0.0;
    }
    let off = (breast(q) + 0.007).abs();
    if off < 0.0018 { -0.0005 * (1.0 - off / 0.0018) } else { 0.0 }
}
