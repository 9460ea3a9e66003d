//! The loose end of a rope, whipped at its tip, that swings with the ship.

use crate::material::{ROPE, ROPE_DARK, WEBBING};
use crate::space::Leg as _;
use crate::space::{Bounds, Vec3, distance, smooth, v3};
use crate::trace::{Shape, Surface};

/// How long a swing takes, in seconds.
const PERIOD: f64 = 2.5;
/// Radius of the rope, and the length of one turn of its strands.
const ROUND: f64 = 0.0105;
const TURN: f64 = 0.055;

/// A rope's end that hangs from a point and swings across the ship.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Tail {
    /// Where it hangs from.
    pub(super) from: Vec3,
    /// Metres.
    pub(super) long: f64,
    /// The swing to each side, in radians.
    pub(super) swing: f64,
}

impl Tail {
    /// A point in the rope's own axes: x bends with the rope, y up from its upper end.
    fn own(&self, p: Vec3, seconds: f64) -> Vec3 {
        let q = p - self.from;
        // The end lags behind: the lower, the further out.
        let lean = self.swing * (std::f64::consts::TAU * seconds / PERIOD).sin();
        let down = (-q.y).clamp(0.0, self.long);
        v3(q.x - lean * down * (0.6 + 0.4 * down / self.long), q.y, q.z - 0.015 * (down / self.long))
    }
}

impl Shape for Tail {
    fn bounds(&self) -> Bounds {
        let aside = self.swing.abs() * self.long + 2.0 * ROUND;
        Bounds { least: self.from - v3(aside, self.long + 0.02, 0.014), most: self.from + v3(aside, 0.012, 0.032) }
    }
    fn distance(&self, p: Vec3, seconds: f64) -> f64 {
        let q = self.own(p, seconds);
        let reach = distance::limb(q, v3(0.0, 0.0, 0.0), v3(0.0, -self.long, 0.0), ROUND, ROUND);
        if reach > 0.012 {
            return 0.9 * (reach - 0.004);
        }
        // Three strands laid about each other; the whipping at the end is smooth.
        let turn = std::f64::consts::TAU * q.y / TURN;
        let (sine, cosine) = turn.sin_cos();
        let (x, z) = (q.x * cosine - q.z * sine, q.x * sine + q.z * cosine);
        let middle = 0.52 * ROUND;
        let strand = |x: f64, z: f64| (x - middle).leg(z) - 0.52 * ROUND;
        let (a, b) = (-0.5 * x, 0.866_025_403_784_438_6 * z);
        let (c, d) = (0.866_025_403_784_438_6 * x, -0.5 * z);
        let laid = strand(x, z).min(strand(a - b, c + d)).min(strand(a + b, d - c));
        let round = laid.min((q.x.leg(q.z) - ROUND).max(q.y + self.long - 0.03));
        0.75 * round.max(q.y).max(-self.long - q.y)
    }
    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface {
        let q = self.own(p, seconds);
        if q.y + self.long < 0.03 {
            return Surface::of(WEBBING, normal);
        }
        let deep = smooth(0.95 * ROUND, 0.6 * ROUND, q.x.leg(q.z));
        Surface { fine: Some(0.003), ..Surface::of(ROPE, normal).mixed(ROPE_DARK, deep) }
    }
    fn moves(&self) -> bool {
        true
    }
}
