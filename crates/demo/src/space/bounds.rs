//! Boxes along the axes that hold shapes.

use super::{Ray, Vec3, v3};

/// A box along the axes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bounds {
    /// The corner of the least coordinates.
    pub least: Vec3,
    /// The corner of the greatest coordinates.
    pub most: Vec3,
}

impl Bounds {
    /// The box of a centre and half extents.
    pub fn around(centre: Vec3, half: Vec3) -> Self {
        Self { least: centre - half, most: centre + half }
    }

    /// Its middle.
    pub fn centre(&self) -> Vec3 {
        (self.least + self.most) * 0.5
    }

    /// Half its extent.
    pub fn half(&self) -> Vec3 {
        (self.most - self.least) * 0.5
    }

    /// Grown on every side.
    pub fn grown(&self, margin: f64) -> Self {
        Self::around(self.centre(), self.half() + v3(margin, margin, margin))
    }

    /// The smallest box that holds both.
    pub fn with(&self, other: &Self) -> Self {
        let (a, b) = (self.least, other.least);
        let (c, d) = (self.most, other.most);
        Self { least: v3(a.x.min(b.x), a.y.min(b.y), a.z.min(b.z)), most: v3(c.x.max(d.x), c.y.max(d.y), c.z.max(d.z)) }
    }

    /// The eight corners.
    pub fn corners(&self) -> [Vec3; 8] {
        let pick = |bit: usize, least: f64, most: f64| if bit == 0 { least } else { most };
        std::array::from_fn(|at| {
            v3(
                pick(at & 1, self.least.x, self.most.x),
                pick(at >> 1 & 1, self.least.y, self.most.y),
                pick(at >> 2 & 1, self.least.z, self.most.z),
            )
        })
    }

    /// Distance of a point; 0 inside.
    pub fn distance(&self, p: Vec3) -> f64 {
        self.squared_distance(p).sqrt()
    }

    /// Its square, which costs no root where it is only compared.
    pub fn squared_distance(&self, p: Vec3) -> f64 {
        let off = |least: f64, most: f64, at: f64| (least - at).max(at - most).max(0.0);
        let (x, y, z) = (
            off(self.least.x, self.most.x, p.x),
            off(self.least.y, self.most.y, p.y),
            off(self.least.z, self.most.z, p.z),
        );
        x * x + y * y + z * z
    }

    /// Where along a ray the box begins and ends, in metres from its start; none where the ray passes by. `steps` are
    /// the ray's metres a metre along each axis ([`Ray::steps`]).
    pub fn span(&self, ray: &Ray, steps: Vec3) -> Option<(f64, f64)> {
        let one = (self.least - ray.from).times(steps);
        let other = (self.most - ray.from).times(steps);
        let near = one.x.min(other.x).max(one.y.min(other.y)).max(one.z.min(other.z)).max(0.0);
        let far = one.x.max(other.x).min(one.y.max(other.y)).min(one.z.max(other.z));
        (near <= far).then_some((near, far))
    }
}
