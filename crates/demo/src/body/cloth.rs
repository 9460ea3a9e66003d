//! What cloth does, whatever is made of it: folds, creases, layers sewn on top.

use crate::space::Leg as _;
use crate::space::{Vec3, below, chance, uneven, v3};

/// Folds along a phase, 0..1: a narrow ridge between each whole number and the next, no two of
/// one height, broad hollows between them.
pub fn folds(seed: u64, phase: f64) -> f64 {
    let whole = below(phase);
    let share = phase - whole as f64;
    // Leaning a little, as cloth does that is pulled to one side.
    let share = share + 0.25 * share * (1.0 - share);
    let rise = 4.0 * share * (1.0 - share);
    let height = 0.3 + 0.7 * chance(seed, whole, 3, 5);
    rise * rise * rise * height
}

/// Creases of cloth that has been folded and worn, 0..1: 0 in the sharpest.
pub fn creases(seed: u64, p: Vec3) -> f64 {
    let bend = v3(uneven(seed + 7, p * 0.6), uneven(seed + 8, p * 0.6), uneven(seed + 9, p * 0.6));
    let side = 2.0 * uneven(seed, p + bend * 1.6) - 1.0;
    (side * side + 0.004).sqrt()
}

/// How a height in metres over a surface bends its normal: for [`Surface::bent`](crate::trace::Surface::bent).
pub fn bend(p: Vec3, normal: Vec3, height: impl Fn(Vec3) -> f64) -> Vec3 {
    const STEP: f64 = 0.0012;
    let here = height(p);
    let slope = v3(
        height(p + v3(STEP, 0.0, 0.0)) - here,
        height(p + v3(0.0, STEP, 0.0)) - here,
        height(p + v3(0.0, 0.0, STEP)) - here,
    ) * (1.0 / STEP);
    normal * slope.dot(normal) - slope
}

/// A layer sewn on a body: so thick, where `outside` (metres beyond its outline) is negative, its edge rounded.
pub fn layer(body: f64, thick: f64, outside: f64, rounding: f64) -> f64 {
    let (a, b) = (body - thick + rounding, outside + rounding);
    a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - rounding
}

/// Metres beyond a rectangle of half extents with rounded corners.
pub fn panel(x: f64, y: f64, half: [f64; 2], rounding: f64) -> f64 {
    let (a, b) = (x.abs() - half[0] + rounding, y.abs() - half[1] + rounding);
    a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - rounding
}

/// 1 in the middle of a bump of so many metres to each side, 0 beyond, smooth.
pub fn bump(value: f64, wide: f64) -> f64 {
    let share = (1.0 - (value / wide).powi(2)).max(0.0);
    share * share
}
