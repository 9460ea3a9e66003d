//! A camera's view: from places in the picture to rays, and back.

use super::{Bounds, Vec3, v3};

/// A half line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ray {
    /// Where it begins.
    pub from: Vec3,
    /// Its direction, of length 1.
    pub towards: Vec3,
}

impl Ray {
    /// How many metres of it lie in a metre along each axis, with the axis' sign.
    pub fn steps(&self) -> Vec3 {
        // A ray across an axis has as good as no end along it; zero would make no number of a box that it touches.
        let step = |towards: f64| 1.0 / if towards.abs() < 1e-9 { 1e-9_f64.copysign(towards) } else { towards };
        v3(step(self.towards.x), step(self.towards.y), step(self.towards.z))
    }

    /// The point so many metres along it.
    pub fn at(&self, metres: f64) -> Vec3 {
        self.from + self.towards * metres
    }
}

/// Where the camera stands, where it looks, and how wide.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct View {
    from: Vec3,
    right: Vec3,
    up: Vec3,
    ahead: Vec3,
    /// Half the picture's height at a distance of 1.
    half_height: f64,
}

impl View {
    /// From a place, looking at another, upright, with an angle of view from the lower to the upper edge in degrees.
    pub fn new(from: Vec3, at: Vec3, upright_degrees: f64) -> Self {
        let ahead = (at - from).unit();
        let right = ahead.cross(v3(0.0, 1.0, 0.0)).unit();
        Self { from, right, up: right.cross(ahead), ahead, half_height: (upright_degrees.to_radians() / 2.0).tan() }
    }

    /// The ray through a place of the picture: `across` and `up` in half heights from its middle.
    pub fn ray(&self, across: f64, up: f64) -> Ray {
        let towards = self.ahead + self.right * (across * self.half_height) + self.up * (up * self.half_height);
        Ray { from: self.from, towards: towards.unit() }
    }

    /// How high the picture is at a distance of one metre, in metres.
    pub fn height(&self) -> f64 {
        2.0 * self.half_height
    }

    /// Where a point lands in the picture, in half heights from its middle: across and up; none behind the camera.
    pub fn place(&self, p: Vec3) -> Option<[f64; 2]> {
        let q = p - self.from;
        let depth = q.dot(self.ahead);
        (depth > 1e-6)
            .then(|| [q.dot(self.right) / (depth * self.half_height), q.dot(self.up) / (depth * self.half_height)])
    }

    /// How far lengths in metres at a point reach in the picture, in half heights; none behind the camera.
    pub fn span(&self, p: Vec3, metres: [f64; 2]) -> Option<[f64; 2]> {
        let depth = (p - self.from).dot(self.ahead);
        (depth > 1e-6).then(|| metres.map(|length| length / (depth * self.half_height)))
    }

    /// The part of the picture that a box may cover: left, lower, right, upper, in half heights from its middle.
    /// A box that reaches behind the camera may cover all of it.
    pub fn covered(&self, bounds: &Bounds) -> [f64; 4] {
        let mut covered = [f64::INFINITY, f64::INFINITY, f64::NEG_INFINITY, f64::NEG_INFINITY];
        for corner in bounds.corners() {
            let Some([x, y]) = self.place(corner) else {
                return [f64::NEG_INFINITY, f64::NEG_INFINITY, f64::INFINITY, f64::INFINITY];
            };
            covered = [covered[0].min(x), covered[1].min(y), covered[2].max(x), covered[3].max(y)];
        }
        covered
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_ray_lands_where_it_came_from() {
        let view = View::new(v3(0.3, 1.6, 2.4), v3(-0.2, 1.1, 0.0), 32.0);
        for (across, up) in [(0.0, 0.0), (-1.2, 0.4), (1.7, -0.9)] {
            let [x, y] = view.place(view.ray(across, up).at(3.0)).unwrap();
            assert!((x - across).abs() < 1e-12 && (y - up).abs() < 1e-12, "{across} {up}: {x} {y}");
        }
        let (middle, reach) = (v3(0.0, 1.2, 0.4), view.span(v3(0.0, 1.2, 0.4), [0.1, 0.2]).unwrap());
        let [x, y] = view.place(middle).unwrap();
        let [right, top] = view.place(middle + view.right * 0.1 + view.up * 0.2).unwrap();
        assert!((right - x - reach[0]).abs() < 1e-12 && (top - y - reach[1]).abs() < 1e-12);
    }
}
