//! A ceiling light: a tray of painted steel along z that carries two bare tubes.

use super::sources::TUBES;
use crate::material::{CREAM_SHADE, IRON, WHITE};
use crate::space::{Bounds, Vec3, distance, smooth, v3};
use crate::trace::{Shape, Surface};

/// The light, by the middle of its upper face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Tubes {
    at: Vec3,
}

const HALF_LENGTH: f64 = 0.62;
const HALF_WIDTH: f64 = 0.085;
/// How bright a tube is beside a perfect diffuser in full light.
const BRIGHT: f64 = 7.0;

impl Tubes {
    /// Under a ceiling at a place.
    pub fn under(at: Vec3) -> Self {
        Self { at }
    }

    fn tube(q: Vec3) -> f64 {
        let q = v3(q.x.abs() - 0.042, q.y + 0.062, q.z);
        distance::limb(q, v3(0.0, 0.0, -HALF_LENGTH + 0.03), v3(0.0, 0.0, HALF_LENGTH - 0.03), 0.013, 0.013)
    }

    fn tray(q: Vec3) -> f64 {
        let tray = distance::block(q - v3(0.0, -0.018, 0.0), v3(HALF_WIDTH, 0.018, HALF_LENGTH), 0.006);
        let end = v3(q.x, q.y + 0.05, q.z.abs() - HALF_LENGTH + 0.02);
        tray.min(distance::block(end, v3(0.07, 0.03, 0.016), 0.005))
    }
}

impl Shape for Tubes {
    fn bounds(&self) -> Bounds {
        Bounds::around(self.at + v3(0.0, -0.042, 0.0), v3(HALF_WIDTH, 0.042, HALF_LENGTH))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.at;
        Self::tube(q).min(Self::tray(q))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.at;
        if Self::tube(q) < Self::tray(q) {
            // The ends are grey with use.
            let worn = smooth(HALF_LENGTH - 0.13, HALF_LENGTH - 0.05, q.z.abs());
            return Surface {
                glow: Some((TUBES, BRIGHT * (1.0 - 0.75 * worn))),
                fine: Some(0.003),
                ..Surface::of(WHITE, normal)
            };
        }
        let socket = q.y < -0.038;
        // The tubes shine on their own tray.
        let lit = 0.9 * smooth(0.02, -0.04, (q.x.abs() - 0.042).abs() - 0.02) + 0.35;
        let glow = (!socket && normal.y < -0.5).then_some((TUBES, lit));
        Surface { glow, ..Surface::of(if socket { IRON } else { CREAM_SHADE }, normal).glossy(0.03, 20.0) }
    }
    fn shades(&self) -> bool {
        false
    }
}
