//! The form of a clothed body: trunk, shoulders, arms, and the folds that its cloth falls in.

use super::pose::Arm;
use crate::body::cloth::{bump, folds};
use crate::space::Leg as _;
use crate::space::{Vec3, distance, mix, smooth, uneven, v3};

/// How a garment is cut: half widths and depths in metres.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Cut {
    /// Width and depth at the chest, the waist and the hem.
    pub chest: [f64; 2],
    pub waist: [f64; 2],
    pub hem: [f64; 2],
    /// How far under the pit of the neck the hem is.
    pub hem_at: f64,
    /// Radius of the sleeves at the shoulder, the elbow and the wrist.
    pub sleeve: [f64; 3],
    /// How deep its folds are: 1 for a heavy coat.
    pub deep: f64,
    /// Starts its unevenness.
    pub seed: u64,
}

/// A heavy coat.
pub const COAT: Cut = Cut {
    chest: [0.178, 0.122],
    waist: [0.176, 0.118],
    hem: [0.225, 0.145],
    hem_at: -0.82,
    sleeve: [0.071, 0.062, 0.053],
    deep: 1.0,
    seed: 211,
};

/// A cook's jacket.
pub const JACKET: Cut = Cut {
    chest: [0.168, 0.110],
    waist: [0.156, 0.112],
    hem: [0.180, 0.120],
    hem_at: -0.72,
    sleeve: [0.060, 0.052, 0.040],
    deep: 0.75,
    seed: 223,
};

/// The deepest fold in metres.
pub const DEEPEST: f64 = 0.011;
/// Folds are reckoned within so many metres of the cloth.
pub const CLOSE: f64 = 0.04;

/// Folds fade where the cloth is far, so that what is joined there has no step.
pub fn near(distance: f64) -> f64 {
    1.0 - smooth(0.014, CLOSE, distance)
}

/// Trunk and shoulders without folds.
pub fn trunk(q: Vec3, cut: &Cut) -> f64 {
    let (to_waist, to_hem) = (smooth(-0.12, -0.42, q.y), smooth(-0.42, cut.hem_at, q.y));
    let half = |at: usize| mix(mix(cut.chest[at], cut.waist[at], to_waist), cut.hem[at], to_hem);
    let (wide, deep) = (half(0), half(1));
    let side = v3(q.x.abs(), q.y, q.z);
    // The chest is rounder in front than the back.
    let corner = deep * 0.92;
    let (a, b) = (side.x - wide + corner, q.z.abs() - deep + corner);
    let across = a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - corner;
    let (middle, high) = ((cut.hem_at - 0.075) / 2.0, (-0.075 - cut.hem_at) / 2.0);
    let up = (q.y - middle).abs() - high;
    let (c, d) = (across + 0.014, up + 0.014);
    let column = (c.max(0.0).leg(d.max(0.0)) + c.max(d).min(0.0) - 0.014) * 0.96;
    let tip = cut.sleeve[0];
    let shoulder = distance::limb(side, v3(0.0, -0.006, -0.042), v3(0.165, -0.055, -0.02), 0.058, tip);
    distance::joined(column, shoulder, 0.07)
}

/// A sleeve and where on it the point is.
pub struct Sleeve {
    pub distance: f64,
    /// Metres from the shoulder along the arm.
    pub along: f64,
    /// -1..1: from the outside of the elbow to its inside.
    pub inner: f64,
    /// -1..1: across that.
    pub round: f64,
}

/// The sleeve of an arm without folds.
pub fn sleeve(q: Vec3, arm: &Arm, cut: &Cut) -> Sleeve {
    let part = |from: Vec3, to: Vec3, thick: f64, thin: f64| {
        let (way, p) = (to - from, q - from);
        let share = (p.dot(way) / way.dot(way)).clamp(0.0, 1.0);
        let off = p - way * share;
        let metres = off.length();
        (metres - mix(thick, thin, share), share, off * (1.0 / metres.max(1e-6)))
    };
    let [top, middle, end] = cut.sleeve;
    let (upper, upper_share, upper_off) = part(arm.shoulder, arm.elbow, top, middle);
    let (lower, lower_share, lower_off) = part(arm.elbow, arm.wrist, middle, end);
    // At the elbow the one goes over into the other.
    let share = smooth(-0.016, 0.016, lower - upper);
    let along = mix(0.285 + 0.26 * lower_share, 0.285 * upper_share, share);
    let off = lower_off * (1.0 - share) + upper_off * share;
    // The cuff is cut straight.
    let cut_off = (q - arm.wrist).dot(arm.ahead);
    let lower = distance::common(lower, cut_off, 0.008);
    Sleeve {
        distance: distance::joined(upper, lower, 0.025),
        along,
        inner: off.dot(arm.inside),
        round: off.dot(arm.side),
    }
}

/// How far folds raise the cloth of the trunk.
pub fn trunk_folds(q: Vec3, cut: &Cut) -> f64 {
    // How much of each there is here: what is not need not be reckoned.
    let draped = smooth(-0.28, -0.78, q.y);
    let (u, v) = (q.x.abs() - 0.165, q.y + 0.155);
    let reach = u.leg(v);
    let pulled = bump(reach, 0.16) * smooth(0.02, 0.07, reach);
    let sagged = bump(q.y + 0.41, 0.16);
    if draped + pulled + sagged <= 0.0 {
        return 0.0;
    }
    let seed = cut.seed;
    let slow = uneven(seed, q * 5.5) - 0.5;
    let other = if draped + sagged > 0.0 { uneven(seed + 1, q * 3.7) } else { 0.0 };
    let mut raised = 0.0;
    // Drapes from the chest down.
    if draped > 0.0 {
        let around = q.x * 0.9 + q.z * 0.5 * q.x / (q.x.abs() + 0.06);
        let phase = (around + 0.055 * slow + 0.10 * (q.y + 0.3) * (other - 0.4)) / 0.066;
        raised += 0.0105 * draped * folds(seed + 2, phase);
    }
    // Pulls that run out from the armpits.
    if pulled > 0.0 {
        let phase = 4.6 * v / (u.abs() + v.abs() + 0.03) + 1.8 * slow + 2.0;
        raised += 0.0065 * pulled * folds(seed + 3 + u64::from(q.x < 0.0), phase);
    }
    // Cloth that sags onto the waist.
    if sagged > 0.0 {
        let phase = (q.y + 0.35 * q.x * (other - 0.5) + 0.16 * slow - 0.6 * q.x * q.x) / 0.058;
        raised += 0.0055 * sagged * smooth(0.25, 0.75, other) * folds(seed + 5, phase);
    }
    cut.deep * raised
}

/// How far folds raise the cloth of a sleeve.
pub fn sleeve_folds(q: Vec3, at: &Sleeve, cut: &Cut) -> f64 {
    let seed = cut.seed + 11 + u64::from(q.x < 0.0) * 3;
    let slow = uneven(seed, q * 9.0) - 0.5;
    let cross = folds(seed + 2, (at.along - 0.034 * at.round + 0.03 * slow) / 0.047);
    let bow = bump(at.along - 0.285, 0.13);
    let elbow = if bow > 0.0 {
        let rings = folds(seed + 1, (at.along + 0.022 * at.round + 0.04 * slow) / 0.036);
        bow * (0.55 + 0.45 * at.inner) * (0.65 * rings + 0.35 * cross)
    } else {
        0.0
    };
    let cuff = bump(at.along - 0.50, 0.13) * cross;
    let top = bump(at.along - 0.12, 0.12) * cross * (0.5 + 0.5 * at.inner);
    cut.deep * (0.010 * elbow + 0.0045 * cuff + 0.004 * top)
}
