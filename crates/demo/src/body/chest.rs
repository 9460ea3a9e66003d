//! A small wooden chest.

use super::wood::Wood;
use crate::material::BRASS;
use crate::space::{Bounds, Place, Vec3, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A wooden chest with a lid, brass corners and a catch, its front to +z; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chest {
    place: Place,
    half: Vec3,
    wood: Wood,
}

impl Chest {
    /// Standing at a place: its width, height and depth in metres, and its wood.
    pub fn standing(place: Place, size: Vec3, wood: Wood) -> Self {
        Self { place, half: size * 0.5, wood }
    }

    /// The upper edge of the box, where the lid begins.
    fn seam(&self) -> f64 {
        1.45 * self.half.y
    }

    /// Whether a point of the outside lies under a brass corner or the catch; and how far within, in metres.
    fn brass(&self, q: Vec3) -> f64 {
        let gap =
            v3(self.half.x - q.x.abs(), self.half.y - (q.y - self.half.y).abs(), self.half.z - q.z.abs()).at_least(0.0);
        let corner = 0.03 - gap.x - gap.y - gap.z;
        let catch = if q.z > 0.0 { 0.012 - q.x.abs().max(0.6 * (q.y - self.seam()).abs()) } else { -1.0 };
        corner.max(catch)
    }
}

impl Shape for Chest {
    fn bounds(&self) -> Bounds {
        let (half, by) = (self.half, v3(0.009, 0.001, 0.009));
        self.place.bounds(&Bounds::around(v3(0.0, half.y, 0.0), half + by))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let seam = self.seam();
        let (low, high) = (0.5 * seam, self.half.y - 0.5 * seam);
        let chest = distance::block(q - v3(0.0, low, 0.0), v3(self.half.x, low - 0.0006, self.half.z), 0.002);
        let lid = distance::block(
            q - v3(0.0, seam + high, 0.0),
            v3(self.half.x + 0.004, high - 0.0006, self.half.z + 0.004),
            0.004,
        );
        let wood = chest.min(lid);
        if wood > 0.02 {
            // The catch stands out no further than this.
            return wood - 0.0075;
        }
        let catch = distance::block(q - v3(0.0, seam, self.half.z + 0.003), v3(0.011, 0.019, 0.0042), 0.0015);
        (wood - 0.0012 * smooth(0.0, 0.0012, self.brass(q))).min(catch) * 0.8
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if self.brass(q) > 0.0004 {
            let bend = v3(uneven(191, q * 70.0) - 0.5, uneven(192, q * 70.0) - 0.5, uneven(193, q * 70.0) - 0.5) * 0.12;
            let dull = smooth(0.3, 0.7, uneven(194, q * 40.0));
            return Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.75 - 0.35 * dull, 40.0).bent(bend) };
        }
        let out = self.place.inward(normal + self.place.at);
        let lid = i64::from(q.y > self.seam());
        let surface = if out.y.abs() > 0.7 {
            self.wood.surface(v3(q.x, q.z, q.y), 20, normal)
        } else if out.z.abs() > out.x.abs() {
            self.wood.surface(v3(q.x, q.y - 0.4 * self.half.y, q.z), 21 + lid, normal)
        } else {
            self.wood.surface(v3(q.z, q.y, q.x), 23 + lid, normal)
        };
        let seam = smooth(0.003, 0.0005, (q.y - self.seam()).abs());
        Surface { share: (surface.share + 0.6 * seam).min(1.0), open: 1.0 - 0.5 * seam, ..surface }
    }
}
