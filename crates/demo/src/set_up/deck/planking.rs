//! The ship's deck: narrow planks fore and aft, pitch in their seams, wet from the last rain.

use crate::material::{PITCH, TEAK, TEAK_DARK};
use crate::space::{Bounds, Vec3, chance, grain, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Width of a plank in metres.
const WIDE: f64 = 0.115;
/// Length of a plank in metres.
const LONG: f64 = 3.4;
/// Width of a seam in metres.
const SEAM: f64 = 0.007;

/// Planks that run along z, their upper face at height 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Planking {
    pub(super) least: [f64; 2],
    pub(super) most: [f64; 2],
}

impl Shape for Planking {
    fn bounds(&self) -> Bounds {
        let ([left, far], [right, near]) = (self.least, self.most);
        Bounds { least: v3(left, -0.04, far), most: v3(right, 0.0005, near) }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        p.y
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let plank = (p.x / WIDE).floor();
        let own = chance(311, plank as i64, 0, 0);
        let along = p.z + own * LONG;
        let board = (along / LONG).floor();
        let tint = chance(312, plank as i64, board as i64, 1);
        let from_side = (p.x - (plank + 0.5) * WIDE).abs();
        let from_end = ((along / LONG).fract().abs() - 0.5).abs() * LONG;
        let seam = smooth(WIDE / 2.0 - SEAM, WIDE / 2.0 - SEAM * 0.6, from_side).max(smooth(
            LONG / 2.0 - SEAM,
            LONG / 2.0 - SEAM * 0.6,
            from_end,
        ));
        // Standing wet in the hollows, a thin film between.
        let wet = smooth(0.38, 0.62, grain(313, v3(p.x * 1.5, 0.0, p.z * 0.7)));
        let lines = grain(314, v3(p.x * 34.0 + 9.0 * tint, 0.0, p.z * 1.6 + 5.0 * own));
        let dark = (0.25 * tint + 0.6 * smooth(0.3, 0.8, lines)) * mix(0.8, 1.0, wet);
        // Every plank lies a little askew, and the film on it is not quite flat.
        let askew =
            v3(chance(315, plank as i64, board as i64, 2) - 0.5, 0.0, chance(316, plank as i64, board as i64, 3) - 0.5);
        let film = v3(uneven(317, p * 5.0) - 0.5, 0.0, uneven(318, p * 4.0) - 0.5);
        let surface = if seam > 0.5 {
            Surface::of(PITCH, normal)
        } else {
            Surface { open: mix(0.75, 0.45, wet), ..Surface::of(TEAK, normal).mixed(TEAK_DARK, dark) }
        };
        surface.glossy(0.02, 70.0).bent(askew * mix(0.05, 0.012, wet) + film * mix(0.06, 0.015, wet))
    }
    fn shades(&self) -> bool {
        false
    }
}
