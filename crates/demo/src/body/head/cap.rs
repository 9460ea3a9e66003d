//! What the crew wear on their heads: the mate a ribbed watch cap, the cook a kerchief knotted behind. In millimetres.

use super::Crew;
use crate::space::{Vec3, distance, uneven, v3};

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

fn watch_cap(p: Vec3) -> f64 {
    let up = over_edge(Crew::Mate, p);
    if up < -30.0 {
        return -up - 4.0;
    }
    let mut shell = distance::ellipsoid(p - v3(1.0, 41.0, -12.0), v3(82.0, 91.0, 102.0));
    if shell > 24.0 {
        return shell - 10.0;
    }
    // The wool gives way in folds.
    shell -= 5.0 * (uneven(331, v3(p.x / 30.0, p.y / 22.0, p.z / 34.0)) - 0.5) * (up / 60.0).clamp(0.15, 1.0);
    let crown = distance::common(shell, 6.0 - up, 4.0);
    let across = (shell - 2.6).abs() - 0.6;
    let along = (up - 0.5 * CUFF).abs() - 0.5 * CUFF + 3.6;
    let cuff = across.max(0.0).hypot(along.max(0.0)) + across.max(along).min(0.0) - 3.4;
    distance::joined(crown, cuff, 1.6)
}

fn kerchief(p: Vec3) -> f64 {
    let up = over_edge(Crew::Cook, p);
    if up < -48.0 {
        return -up - 30.0;
    }
    let knot = v3(3.0, -16.0, -103.0);
    let mut shell = distance::ellipsoid(p - v3(0.0, 38.5, -9.0), v3(79.5, 87.0, 98.5));
    if shell > 24.0 && (p - knot).length() > 90.0 {
        return shell - 8.0;
    }
    // Folds run back towards the knot.
    let lift = 0.35 * (p.z + 20.0);
    let folds = uneven(341, v3(p.x / 46.0, (p.y - lift) / 9.0, p.z / 70.0));
    shell -= 2.6 * (folds - 0.5);
    let cloth = distance::common(shell, -up, 1.6);
    let hem = (shell + 0.4).hypot(up - 3.4) - 3.2;
    let mut d = distance::joined(cloth, hem, 2.0);
    if (p - knot).length() < 100.0 {
        let tie = distance::ellipsoid(p - knot, v3(11.0, 8.5, 9.0));
        let one = distance::limb(p, knot, v3(17.0, -58.0, -100.0), 4.5, 8.0).max((p.z + 0.12 * p.y + 108.0).abs() - 5.0);
        let other = distance::limb(p, knot, v3(-12.0, -48.0, -104.0), 4.5, 7.0);
        d = distance::joined(d, distance::joined(tie, one.min(other), 4.0), 3.0);
    }
    d
}
