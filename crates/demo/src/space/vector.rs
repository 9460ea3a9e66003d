//! Points and directions.

use std::ops::{Add, Mul, Neg, Sub};

/// A point in metres, or a direction.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Vec3 {
    /// To the right.
    pub x: f64,
    /// Up.
    pub y: f64,
    /// Towards the camera of a plain view.
    pub z: f64,
}

/// A short way to write a [`Vec3`].
pub const fn v3(x: f64, y: f64, z: f64) -> Vec3 {
    Vec3 { x, y, z }
}

impl Vec3 {
    /// The scalar product.
    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y + self.z * other.z
    }

    /// The vector product.
    pub fn cross(self, other: Self) -> Self {
        v3(
            self.y * other.z - self.z * other.y,
            self.z * other.x - self.x * other.z,
            self.x * other.y - self.y * other.x,
        )
    }

    /// Its length.
    pub fn length(self) -> f64 {
        self.dot(self).sqrt()
    }

    /// The same direction with length 1; a vector of no length stays.
    pub fn unit(self) -> Self {
        let length = self.length();
        if length > 0.0 { self * (1.0 / length) } else { self }
    }

    /// Every part without its sign.
    pub fn abs(self) -> Self {
        v3(self.x.abs(), self.y.abs(), self.z.abs())
    }

    /// The larger of each part and a number.
    pub fn at_least(self, least: f64) -> Self {
        v3(self.x.max(least), self.y.max(least), self.z.max(least))
    }

    /// The largest part.
    pub fn most(self) -> f64 {
        self.x.max(self.y).max(self.z)
    }

    /// Part by part.
    pub fn times(self, other: Self) -> Self {
        v3(self.x * other.x, self.y * other.y, self.z * other.z)
    }

    /// Mirrored at a surface of this normal, both of length 1.
    pub fn mirrored(self, normal: Self) -> Self {
        self - normal * (2.0 * self.dot(normal))
    }

    /// Turned about the x axis by radians; y goes towards z.
    pub fn turned_x(self, radians: f64) -> Self {
        let (sine, cosine) = radians.sin_cos();
        v3(self.x, self.y * cosine - self.z * sine, self.y * sine + self.z * cosine)
    }

    /// Turned about the y axis by radians; z goes towards x.
    pub fn turned_y(self, radians: f64) -> Self {
        let (sine, cosine) = radians.sin_cos();
        v3(self.x * cosine + self.z * sine, self.y, self.z * cosine - self.x * sine)
    }

    /// Turned about the z axis by radians; x goes towards y.
    pub fn turned_z(self, radians: f64) -> Self {
        let (sine, cosine) = radians.sin_cos();
        v3(self.x * cosine - self.y * sine, self.x * sine + self.y * cosine, self.z)
    }
}

impl Add for Vec3 {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        v3(self.x + other.x, self.y + other.y, self.z + other.z)
    }
}

impl Sub for Vec3 {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        v3(self.x - other.x, self.y - other.y, self.z - other.z)
    }
}

impl Mul<f64> for Vec3 {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        v3(self.x * factor, self.y * factor, self.z * factor)
    }
}

impl Neg for Vec3 {
    type Output = Self;
    fn neg(self) -> Self {
        v3(-self.x, -self.y, -self.z)
    }
}

/// The long side of a right triangle by its two legs. `hypot` guards against sizes that no scene has, at many times the
/// cost.
pub trait Leg {
    /// With the other leg.
    fn leg(self, other: Self) -> Self;
}

impl Leg for f64 {
    fn leg(self, other: Self) -> Self {
        (self * self + other * other).sqrt()
    }
}
