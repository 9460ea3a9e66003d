//! The rope across a gap in the rail where the gangway goes out.

use crate::material::{ROPE, ROPE_DARK};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, uneven, v3};
use crate::trace::{Shape, Surface};

/// A rope that sags between two posts at one x; too thin to be seen in the shadows of a whole sky.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Guard {
    /// One end.
    pub(super) from: Vec3,
    /// How far along z the other end is.
    pub(super) wide: f64,
    /// How far the middle hangs below the ends.
    pub(super) sag: f64,
}

impl Shape for Guard {
    fn bounds(&self) -> Bounds {
        let by = v3(0.014, 0.014, 0.014);
        Bounds { least: self.from - v3(0.0, self.sag, 0.0) - by, most: self.from + v3(0.0, 0.0, self.wide) + by }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.from;
        let along = (q.z / self.wide).clamp(0.0, 1.0);
        let low = -4.0 * self.sag * along * (1.0 - along);
        let slope = 4.0 * self.sag * (1.0 - 2.0 * along) / self.wide;
        let across = (q.y - low) / (1.0 + slope * slope).sqrt();
        q.x.leg(across).leg(q.z - along * self.wide) * 0.9 - 0.009
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let laid = uneven(391, v3(0.0, p.y * 60.0 + p.z * 90.0, p.x * 60.0));
        Surface { fine: Some(0.003), ..Surface::of(ROPE, normal).mixed(ROPE_DARK, laid) }
    }
    fn shades(&self) -> bool {
        false
    }
}
