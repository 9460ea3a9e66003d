//! Where a body stands and how it is turned.

use super::{Bounds, Vec3, v3};

/// A place and a turn about the upright axis: a body's own axes in the scene.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Place {
    /// Where the body's origin is.
    pub at: Vec3,
    /// Radians; 0 faces +z, a quarter turn +x.
    pub turned: f64,
    // Of the turn: points are brought in and out for every step of every ray.
    sine: f64,
    cosine: f64,
}

impl Place {
    /// At a point, facing +z.
    pub fn at(at: Vec3) -> Self {
        Self { at, turned: 0.0, sine: 0.0, cosine: 1.0 }
    }

    /// The same, turned.
    pub fn facing(self, turned: f64) -> Self {
        let (sine, cosine) = turned.sin_cos();
        Self { turned, sine, cosine, ..self }
    }

    /// The same, turned to a point that is looked to, level.
    pub fn looking_to(self, other: Vec3) -> Self {
        self.facing((other.x - self.at.x).atan2(other.z - self.at.z))
    }

    /// A point of the scene in the body's own axes.
    pub fn inward(&self, p: Vec3) -> Vec3 {
        let q = p - self.at;
        v3(q.x * self.cosine - q.z * self.sine, q.y, q.z * self.cosine + q.x * self.sine)
    }

    /// A point of the body in the scene.
    pub fn outward(&self, q: Vec3) -> Vec3 {
        self.at + v3(q.x * self.cosine + q.z * self.sine, q.y, q.z * self.cosine - q.x * self.sine)
    }

    /// A box of the body's own axes, as a box of the scene that holds it.
    pub fn bounds(&self, own: &Bounds) -> Bounds {
        let half = own.half();
        let (sine, cosine) = (self.sine.abs(), self.cosine.abs());
        let turned = v3(half.x * cosine + half.z * sine, half.y, half.x * sine + half.z * cosine);
        Bounds::around(self.outward(own.centre()), turned)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inward_undoes_outward_and_the_box_holds_the_corners() {
        let place = Place::at(v3(0.4, 1.0, -2.0)).facing(0.7);
        let own = Bounds { least: v3(-0.2, 0.0, -0.1), most: v3(0.5, 0.8, 0.3) };
        let around = place.bounds(&own).grown(1e-9);
        for corner in own.corners() {
            let p = place.outward(corner);
            assert!((place.inward(p) - corner).length() < 1e-12);
            assert_eq!(around.distance(p), 0.0);
        }
        assert!(Place::at(v3(0.0, 0.0, 0.0)).facing(std::f64::consts::FRAC_PI_2).outward(v3(0.0, 0.0, 1.0)).x > 0.999);
    }
}
