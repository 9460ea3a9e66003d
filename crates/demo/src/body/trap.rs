//! A light trap: the black that a camera's blacks are judged by.

use super::lathe::section;
use crate::material::{BLACK, BRASS, IRON, VOID};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, uneven, v3};
use crate::trace::{Shape, Surface};

/// A light trap: a black box of 120 mm with a round mouth in its front, in which no light is found again; its origin is the
/// middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Trap {
    place: Place,
}

/// Half the width of the mouth, in metres.
const MOUTH: f64 = 0.036;

impl Trap {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of the mouth, where the cone within begins.
    pub fn mouth(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.06, 0.06))
    }

    /// Half the width of a mark within the mouth, in metres.
    pub const MOUTH_HALF: f64 = 0.018;

    /// The hollow and the cone in it, whose tip is turned to the mouth: no light comes back out in one reflection.
    fn hollow(r: f64, z: f64) -> f64 {
        let well = section(r, z, [0.0, 0.0], [MOUTH, 0.054], 0.0).min(section(r, z, [0.0, 0.04], [MOUTH, 0.04], 0.0));
        let cone = 0.93 * (r - 0.4 * (0.035 - z)).max(z - 0.035);
        well.max(-cone)
    }
}

impl Shape for Trap {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.0605, 0.0, -0.0605), most: v3(0.0605, 0.14, 0.0665) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p) - v3(0.0, 0.06, 0.0);
        let r = q.x.leg(q.y);
        let body = distance::block(q, v3(0.06, 0.06, 0.06), 0.003);
        let collar = section(r, q.z, [MOUTH + 0.0055, 0.0615], [0.0055, 0.0045], 0.0016);
        let screw =
            distance::ellipsoid(v3(q.x.abs() - 0.049, q.y.abs() - 0.049, q.z - 0.06), v3(0.0036, 0.0036, 0.0018));
        // A strap of leather to carry it by.
        let strap = section(q.x.leg(1.9 * (q.y - 0.055)), q.z, [0.036, 0.0], [0.0022, 0.008], 0.0015) * 0.52;
        distance::joined(body, collar, 0.001).max(-Self::hollow(r, q.z)).min(screw).min(strap.max(0.058 - q.y))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p) - v3(0.0, 0.06, 0.0);
        let r = q.x.leg(q.y);
        if r < MOUTH + 0.0004 && q.z > -0.0585 && q.z < 0.0655 && q.y < 0.05 {
            return Surface::of(VOID, normal);
        }
        if q.z > 0.0603 && (q.x.abs() - 0.049).leg(q.y.abs() - 0.049) < 0.0036 {
            return Surface { metal: true, ..Surface::of(BRASS, normal).glossy(0.55, 35.0) };
        }
        if r > MOUTH && r < MOUTH + 0.0115 && q.z > 0.0605 {
            return Surface::of(IRON, normal).glossy(0.05, 45.0);
        }
        // Blacked wood: the felt's black, a little sheen, its edges rubbed grey.
        let gap = v3(0.06 - q.x.abs(), 0.06 - q.y.abs(), 0.06 - q.z.abs());
        let edge = gap.x + gap.y + gap.z - gap.x.min(gap.y).min(gap.z) - gap.most();
        let rubbed = edge + 0.004 * uneven(141, q * 140.0) + 0.004 * uneven(142, q * 30.0);
        let bend = v3(0.0, uneven(143, v3(q.x * 40.0, q.y * 260.0, q.z * 40.0)) - 0.5, 0.0) * 0.12;
        let paint = if rubbed < 0.0042 { IRON } else { BLACK };
        Surface::of(paint, normal).glossy(0.032, 12.0).bent(bend)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mouth_is_open_and_leads_into_the_void_alone() {
        let trap = Trap::standing(Place::at(v3(0.0, 1.0, 0.0)));
        for (x, y) in [(-1.2, -1.2), (1.2, -1.2), (0.0, 0.0), (-1.2, 1.2), (1.2, 1.2)] {
            let mut p = trap.mouth() + v3(x * Trap::MOUTH_HALF, y * Trap::MOUTH_HALF, 0.02);
            for _ in 0..200 {
                p = p + v3(0.0, 0.0, -trap.distance(p, 0.0));
            }
            assert!(p.z < 0.04, "{p:?}");
            assert_eq!(trap.surface(p, v3(0.0, 0.0, 1.0), 0.0).paints, [VOID, VOID]);
        }
    }
}
