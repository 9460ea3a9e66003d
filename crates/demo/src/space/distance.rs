//! Signed distances of simple bodies about the origin, in metres, negative inside, and how they are joined.
//!
//! Where a formula is a lower bound and not the distance itself, its doc says so. Derived from the geometry by hand.

use super::{Vec3, mix, v3};

/// Length of a plane vector: `hypot` guards against sizes that no scene has, at many times the cost.
pub fn length(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// A ball.
pub fn ball(p: Vec3, radius: f64) -> f64 {
    p.length() - radius
}

/// A box of half extents with rounded edges.
pub fn block(p: Vec3, half: Vec3, rounding: f64) -> f64 {
    let q = p.abs() - half + v3(rounding, rounding, rounding);
    q.at_least(0.0).length() + q.most().min(0.0) - rounding
}

/// An ellipsoid of half axes; near enough close to its surface, a lower bound far off.
pub fn ellipsoid(p: Vec3, half: Vec3) -> f64 {
    let level = v3(p.x / half.x, p.y / half.y, p.z / half.z).length();
    let slope = v3(p.x / (half.x * half.x), p.y / (half.y * half.y), p.z / (half.z * half.z)).length();
    if slope < 1e-9 { -half.x.min(half.y).min(half.z) } else { level * (level - 1.0) / slope }
}

/// A line of round section between two points, thicker or thinner at its end; a lower bound where the radii differ much.
pub fn limb(p: Vec3, from: Vec3, to: Vec3, radius_from: f64, radius_to: f64) -> f64 {
    let (along, q) = (to - from, p - from);
    let share = (q.dot(along) / along.dot(along)).clamp(0.0, 1.0);
    (q - along * share).length() - mix(radius_from, radius_to, share)
}

/// An upright cylinder, or one with a wider foot, of half its height; a lower bound where the radii differ.
pub fn drum(p: Vec3, half_height: f64, radius_below: f64, radius_above: f64, rounding: f64) -> f64 {
    let share = ((p.y + half_height) / (2.0 * half_height)).clamp(0.0, 1.0);
    let radius = mix(radius_below, radius_above, share);
    let across = length(p.x, p.z) - radius + rounding;
    let up = p.y.abs() - half_height + rounding;
    let lean = (radius_above - radius_below) / (2.0 * half_height);
    (length(across.max(0.0), up.max(0.0)) + across.max(up).min(0.0)) / (1.0 + lean * lean).sqrt() - rounding
}

/// A ring that lies flat: its radius, and that of its section.
pub fn ring(p: Vec3, radius: f64, section: f64) -> f64 {
    length(length(p.x, p.z) - radius, p.y) - section
}

/// Both bodies, their meeting rounded over `blend` metres.
pub fn joined(a: f64, b: f64, blend: f64) -> f64 {
    let share = (0.5 + 0.5 * (b - a) / blend).clamp(0.0, 1.0);
    mix(b, a, share) - blend * share * (1.0 - share)
}

/// The first body without the second, the edge rounded over `blend` metres.
pub fn without(a: f64, b: f64, blend: f64) -> f64 {
    -joined(-a, b, blend)
}

/// What both bodies share, the edge rounded over `blend` metres.
pub fn common(a: f64, b: f64, blend: f64) -> f64 {
    -joined(-a, -b, blend)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bodies_have_their_size() {
        assert_eq!(ball(v3(3.0, 0.0, 4.0), 1.0), 4.0);
        assert_eq!(block(v3(2.0, 0.0, 0.0), v3(1.0, 1.0, 1.0), 0.25), 1.0);
        assert_eq!(block(v3(0.0, 0.0, 0.0), v3(1.0, 2.0, 3.0), 0.0), -1.0);
        assert!((ellipsoid(v3(0.0, 3.0, 0.0), v3(1.0, 2.0, 1.0)) - 1.0).abs() < 0.51);
        assert_eq!(ellipsoid(v3(0.0, 2.0, 0.0), v3(1.0, 2.0, 1.0)), 0.0);
        assert_eq!(limb(v3(0.5, 1.0, 0.0), v3(0.0, 0.0, 0.0), v3(1.0, 0.0, 0.0), 0.25, 0.25), 0.75);
        assert_eq!(ring(v3(0.0, 0.5, 2.0), 2.0, 0.25), 0.25);
        assert_eq!(drum(v3(2.0, 0.0, 0.0), 1.0, 1.0, 1.0, 0.0), 1.0);
    }

    #[test]
    fn joining_takes_the_nearer_and_fills_the_corner() {
        assert_eq!(joined(1.0, 5.0, 0.5), 1.0);
        assert!(joined(1.0, 1.0, 0.5) < 1.0);
        assert_eq!(without(-1.0, -2.0, 0.1), 2.0);
        assert_eq!(common(1.0, -5.0, 0.1), 1.0);
    }
}
