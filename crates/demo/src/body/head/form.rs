//! The two forms that heads are made of, made ready once so that a distance costs no division.

use crate::space::{Vec3, v3};

/// An ellipsoid; its distance is near enough close by and a lower bound far off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Egg {
    centre: Vec3,
    /// One over each half axis.
    over: Vec3,
}

impl Egg {
    /// An ellipsoid by its middle and half axes.
    pub const fn new(centre: Vec3, half: Vec3) -> Self {
        Self { centre, over: v3(1.0 / half.x, 1.0 / half.y, 1.0 / half.z) }
    }

    /// Distance of a point.
    pub fn distance(&self, p: Vec3) -> f64 {
        let level = (p - self.centre).times(self.over);
        let square = level.dot(level);
        let slope = level.times(self.over);
        (square - square.sqrt()) / slope.dot(slope).max(1e-18).sqrt()
    }

    /// A hill of height 1 at the middle that ends, smoothly, at the half axes.
    pub fn hill(&self, p: Vec3) -> f64 {
        let level = (p - self.centre).times(self.over);
        let rest = 1.0 - level.dot(level);
        if rest > 0.0 { rest * rest * rest } else { 0.0 }
    }
}

/// A line of round section, thicker or thinner at its end.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Limb {
    from: Vec3,
    along: Vec3,
    /// One over the square of its length.
    over: f64,
    radius: f64,
    more: f64,
}

impl Limb {
    /// Between two points, with the radius at each.
    pub const fn new(from: Vec3, to: Vec3, radius_from: f64, radius_to: f64) -> Self {
        let along = v3(to.x - from.x, to.y - from.y, to.z - from.z);
        let over = 1.0 / (along.x * along.x + along.y * along.y + along.z * along.z);
        Self { from, along, over, radius: radius_from, more: radius_to - radius_from }
    }

    /// Distance of a point.
    pub fn distance(&self, p: Vec3) -> f64 {
        let q = p - self.from;
        let share = (q.dot(self.along) * self.over).clamp(0.0, 1.0);
        (q - self.along * share).length() - self.radius - self.more * share
    }

    /// A hill along the line, of height 1 and as wide as the radius, that runs out towards both ends.
    pub fn hill(&self, p: Vec3) -> f64 {
        let q = p - self.from;
        let share = (q.dot(self.along) * self.over).clamp(0.0, 1.0);
        let away = q - self.along * share;
        let radius = self.radius + self.more * share;
        let rest = 1.0 - away.dot(away) / (radius * radius);
        if rest > 0.0 { rest * rest * (4.0 * share * (1.0 - share)).min(1.0) } else { 0.0 }
    }
}
