//! What the crew wear on their heads: the mate a ribbed watch cap, the cook a kerchief knotted behind. In millimetres.

use super::Crew;
use super::form::{Egg, Limb};
use crate::space::{Vec3, distance, smooth, uneven, v3};

/// Distance to what is worn.
pub fn cap(who: Crew, p: Vec3) -> f64 {
    match who {
        Crew::Mate => watch_cap(p),
        Crew::Cook => kerchief(p),
    }
}

/// How far a place is above the cap's edge, which is higher in front than behind.
pub fn over_edge(who: Crew, p: Vec3) -> f64 {
    match who {
        Crew::Mate => (p.y - 28.0 + (92.0 - p.z) * 0.30 - 0.03 * p.x) * 0.957,
        Crew::Cook => (p.y - 45.0 + (90.0 - p.z) * 0.36 + 0.04 * p.x) * 0.94,
    }
}

/// Height of the turned up cuff.
pub const CUFF: f64 = 46.0;

const WOOL: Egg = Egg::new(v3(1.0, 41.0, -12.0), v3(82.0, 91.0, 102.0));
const CLOTH: Egg = Egg::new(v3(0.0, 38.5, -9.0), v3(79.5, 87.0, 98.5));
const KNOT: Vec3 = v3(3.0, -14.0, -98.0);
const TIE: Egg = Egg::new(KNOT, v3(12.0, 8.5, 9.0));
const TAILS: [Limb; 2] =
    [Limb::new(KNOT, v3(17.0, -58.0, -98.0), 4.0, 8.0), Limb::new(KNOT, v3(-12.0, -48.0, -102.0), 4.0, 7.0)];

fn watch_cap(p: Vec3) -> f64 {
    let up = over_edge(Crew::Mate, p);
    if up < -30.0 {
        return -up - 4.0;
    }
    let mut shell = WOOL.distance(p);
    if shell > 30.0 {
        return shell - 10.0;
    }
    // The wool gives way in folds.
    if up > 30.0 {
        shell -= 0.09 * (uneven(331, v3(p.x / 30.0, p.y / 22.0, p.z / 34.0)) - 0.5) * (up - 30.0).min(60.0);
    }
    let crown = distance::common(shell, 6.0 - up, 4.0);
    let across = (shell - 2.6).abs() - 0.6;
    let along = (up - 0.5 * CUFF).abs() - 0.5 * CUFF + 3.6;
    let outside = v3(across.max(0.0), along.max(0.0), 0.0).length();
    distance::joined(crown, outside + across.max(along).min(0.0) - 3.4, 1.6)
}

fn kerchief(p: Vec3) -> f64 {
    let up = over_edge(Crew::Cook, p);
    let knot = if p.z < -60.0 { tied(p) } else { 40.0 };
    if up < -30.0 {
        return knot.min(-up - 4.0);
    }
    let mut shell = CLOTH.distance(p);
    if shell > 26.0 {
        return knot.min(shell - 8.0);
    }
    shell -= 3.6 * (fold(p) - 0.5) * smooth(90.0, 30.0, up);
    let cloth = distance::common(shell, 3.0 - up, 1.4);
    // Its edge is rolled into a band of two turns.
    let wave = 2.4 * (uneven(342, p * 0.05) - 0.5);
    let roll = |height: f64, thick: f64| {
        let off = v3(shell + 1.2, 0.72 * (up - height - wave), 0.0);
        off.length() - thick
    };
    let band = distance::joined(roll(5.5, 4.0), roll(14.0, 3.4), 1.2);
    distance::joined(distance::joined(cloth, band, 1.6), knot, 4.0)
}

/// 0..1: how far the kerchief's folds stand out, which run back from the brow towards the knot.
pub fn fold(p: Vec3) -> f64 {
    let lift = p.y - 0.42 * p.z;
    let broad = uneven(341, v3(p.x * 0.02, lift * 0.06, p.z * 0.012));
    let sharp = 1.0 - (2.0 * uneven(343, v3(p.x * 0.03, lift * 0.075, p.z * 0.015)) - 1.0).abs();
    0.5 * broad + 0.5 * sharp * sharp
}

/// The knot behind, with its two ends.
fn tied(p: Vec3) -> f64 {
    let ends = TAILS[0].distance(p).min(TAILS[1].distance(p));
    distance::joined(TIE.distance(p), ends, 4.0)
}
