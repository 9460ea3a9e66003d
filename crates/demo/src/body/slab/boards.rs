//! Walls of tongue-and-groove boards.

use super::brushed;
use crate::material::Material;
use crate::space::{Bounds, Vec3, chance, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Upright painted boards with a groove and a bead at every joint. The wall is thin in x or in z and is boarded on both
/// sides; the boards of one that is thin in y, a ceiling, run along z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Boards {
    bounds: Bounds,
    wide: f64,
    paint: Material,
    shade: Material,
    shades: bool,
}

/// Half the width of a groove and its depth: its flanks stand at 45 degrees.
const GROOVE: f64 = 0.0042;
/// From a groove's middle to that of the narrow one beside it; the bead is between them.
const QUIRK: f64 = 0.0115;

impl Boards {
    /// Boards that fill a box, each `wide` metres, painted, with patches of a second paint where it is old.
    pub fn new(bounds: Bounds, wide: f64, paint: Material, shade: Material) -> Self {
        Self { bounds, wide, paint, shade, shades: true }
    }

    /// The same, which throws no shadow.
    pub fn behind(self) -> Self {
        Self { shades: false, ..self }
    }

    /// A point with x across the boards, y along them, z through the wall; and half the box likewise.
    fn own(&self, p: Vec3) -> (Vec3, Vec3) {
        let (q, half) = (p - self.bounds.centre(), self.bounds.half());
        if half.y < half.x && half.y < half.z {
            (v3(q.x, q.z, q.y), v3(half.x, half.z, half.y))
        } else if half.x < half.z {
            (v3(q.z, q.y, q.x), v3(half.z, half.y, half.x))
        } else {
            (q, half)
        }
    }

    /// From the nearest joint's middle, plus towards the board that has the bead; and the board's number.
    fn joint(&self, across: f64) -> (f64, f64) {
        let board = (across / self.wide).floor();
        let from = across - board * self.wide;
        if from > 0.5 * self.wide { (from - self.wide, board) } else { (from, board) }
    }
}

impl Shape for Boards {
    fn bounds(&self) -> Bounds {
        self.bounds
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let (q, half) = self.own(p);
        let hull = distance::block(q, half, 0.0);
        if hull > 0.008 {
            return hull;
        }
        let (from, _) = self.joint(q.x);
        let groove = (GROOVE - from.abs()).max(0.0);
        let quirk = (0.0018 - (from - QUIRK).abs()).max(0.0);
        // The bead between them is round.
        let bead = (from - 0.0075).abs();
        let round = if bead < 0.004 { 0.0009 * (bead / 0.004) * (bead / 0.004) } else { 0.0 };
        let face = q.z.abs() - half.z + groove.max(quirk).max(round);
        hull.max(0.7 * face)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, _) = self.own(p);
        let (from, board) = self.joint(q.x);
        let number = board as i64;
        let at = v3(p.x + p.z, q.y, q.x);
        let surface = brushed(v3(q.y, q.x + 3.1 * chance(113, number, 0, 0), q.z), self.paint, self.shade, normal);
        // Dust and old paint in the joints; every board has taken the paint a little otherwise.
        let joint = smooth(0.0055, 0.002, from.abs()).max(smooth(0.003, 0.001, (from - QUIRK).abs())) * 0.45;
        let share = surface.share + joint + 0.16 * (chance(114, number, 0, 0) - 0.4);
        let open = 1.0 - 0.45 * smooth(0.004, 0.001, from.abs());
        let uneven = mixed_gloss(at);
        Surface { share: share.clamp(0.0, 1.0), open, ..surface }.glossy(0.03 * uneven, 18.0)
    }
    fn shades(&self) -> bool {
        self.shades
    }
}

/// Oil paint keeps its gloss in places.
fn mixed_gloss(at: Vec3) -> f64 {
    0.5 + smooth(0.3, 0.7, uneven(115, v3(at.z * 7.0, at.y * 3.0, 0.0)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::material::{CREAM, CREAM_SHADE};

    #[test]
    fn a_joint_is_a_groove_and_a_board_is_flat() {
        let wall = Bounds { least: v3(-1.0, 0.0, -0.8), most: v3(1.0, 2.0, -0.7) };
        let boards = Boards::new(wall, 0.1, CREAM, CREAM_SHADE);
        assert!(boards.distance(v3(0.05, 1.0, -0.7), 0.0).abs() < 1e-12);
        assert!(boards.distance(v3(0.1, 1.0, -0.7), 0.0) > 0.7 * 0.99 * GROOVE);
    }
}
