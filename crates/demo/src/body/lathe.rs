//! Distances in the half plane of a body turned about an axis: from the axis, and along it. All in metres.

use crate::space::Leg as _;

/// Distance to the line between two points.
pub fn line(across: f64, along: f64, from: [f64; 2], to: [f64; 2]) -> f64 {
    squared(across, along, from, to).sqrt()
}

/// A thin sheet along a chain of points, `half` as thick to each side.
pub fn sheet(across: f64, along: f64, points: &[[f64; 2]], half: f64) -> f64 {
    let nearest = points.windows(2).fold(f64::INFINITY, |nearest, pair| match pair {
        [from, to] => nearest.min(squared(across, along, *from, *to)),
        _ => nearest,
    });
    nearest.sqrt() - half
}

/// A filled ring or disc of a rectangular section: its middle, half its extents, its rounding.
pub fn section(across: f64, along: f64, middle: [f64; 2], half: [f64; 2], rounding: f64) -> f64 {
    let u = (across - middle[0]).abs() - half[0] + rounding;
    let v = (along - middle[1]).abs() - half[1] + rounding;
    u.max(0.0).leg(v.max(0.0)) + u.max(v).min(0.0) - rounding
}

fn squared(across: f64, along: f64, from: [f64; 2], to: [f64; 2]) -> f64 {
    let (u, v) = (to[0] - from[0], to[1] - from[1]);
    let (a, b) = (across - from[0], along - from[1]);
    let share = ((a * u + b * v) / (u * u + v * v)).clamp(0.0, 1.0);
    let (a, b) = (a - u * share, b - v * share);
    a * a + b * b
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_sheets_and_sections_have_their_size() {
        assert_eq!(line(3.0, 5.0, [0.0, 1.0], [6.0, 1.0]), 4.0);
        assert_eq!(line(-3.0, 5.0, [0.0, 1.0], [6.0, 1.0]), 5.0);
        assert_eq!(sheet(3.0, 5.0, &[[0.0, 1.0], [6.0, 1.0], [6.0, 9.0]], 0.5), 2.5);
        assert_eq!(section(3.0, 0.0, [1.0, 0.0], [1.0, 2.0], 0.1), 1.0);
        assert_eq!(section(1.0, 0.0, [1.0, 0.0], [1.0, 2.0], 0.1), -1.0);
    }
}
