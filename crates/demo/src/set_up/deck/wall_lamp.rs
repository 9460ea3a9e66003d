//! The deck lamp: an enamelled shade on a bent arm, the bulb bare below it. It clips all channels of the camera.

use super::LAMP;
use crate::material::{ENAMEL, IRON, WHITE};
use crate::space::{Bounds, Vec3, distance, v3};
use crate::trace::{Halo, Shape, Surface};

/// How bright the bulb is beside a perfect diffuser in full light: its blue, too, is beyond the sensor at 1.7 stops under.
const BULB: f64 = 300.0;

/// How far the bulb stands out from the wall, in metres.
const REACH: f64 = 0.52;

/// A lamp that stands out from a wall, its arm towards +x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct WallLamp {
    /// Where the arm leaves the wall.
    pub(super) root: Vec3,
    /// How bright its halo is in the picture, and its angle.
    pub(super) halo: [f64; 2],
}

impl WallLamp {
    /// The middle of the bulb.
    pub(super) fn bulb(&self) -> Vec3 {
        self.root + v3(REACH, 0.02, 0.0)
    }
}

impl Shape for WallLamp {
    fn bounds(&self) -> Bounds {
        Bounds { least: self.root + v3(-0.017, -0.07, -0.16), most: self.root + v3(REACH + 0.17, 0.34, 0.16) }
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = p - self.root;
        let plate = distance::block(q, v3(0.015, 0.06, 0.05), 0.01);
        let arm = distance::limb(q, v3(0.0, 0.0, 0.0), v3(0.20, 0.20, 0.0), 0.016, 0.016)
            .min(distance::limb(q, v3(0.20, 0.20, 0.0), v3(0.40, 0.26, 0.0), 0.016, 0.016))
            .min(distance::limb(q, v3(0.40, 0.26, 0.0), v3(REACH, 0.20, 0.0), 0.016, 0.016));
        let s = q - v3(REACH, 0.105, 0.0);
        let cone = distance::drum(s, 0.05, 0.155, 0.05, 0.006);
        let hollow = distance::drum(s + v3(0.0, 0.012, 0.0), 0.05, 0.150, 0.042, 0.0);
        let shade = distance::without(cone, hollow, 0.004);
        let neck = distance::drum(q - v3(REACH, 0.17, 0.0), 0.035, 0.042, 0.034, 0.008);
        let bulb = distance::joined(
            distance::ball(q - v3(REACH, 0.02, 0.0), 0.048),
            distance::drum(q - v3(REACH, 0.09, 0.0), 0.05, 0.026, 0.026, 0.005),
            0.03,
        );
        plate.min(arm).min(shade).min(neck).min(bulb)
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = p - self.bulb();
        let out = q.length();
        if out < 0.053 {
            return Surface { glow: Some((LAMP, BULB)), ..Surface::of(WHITE, normal) };
        }
        if q.y > 0.13 || out > 0.2 {
            return Surface::of(IRON, normal).glossy(0.04, 30.0);
        }
        // The inside of the shade is lit from a hand's breadth away; the outside is dark enamel.
        if normal.y < 0.0 {
            let turned = (-q).unit().dot(normal).max(0.0);
            return Surface { glow: Some((LAMP, 0.16 * turned / (out * out))), ..Surface::of(ENAMEL, normal) };
        }
        Surface::of(IRON, normal).glossy(0.05, 40.0)
    }
    /// The bulb is where its own light comes from; the shade is left out of shadows with it.
    fn shades(&self) -> bool {
        false
    }
    fn halo(&self) -> Option<Halo> {
        let [level, wide] = self.halo;
        Some(Halo { source: LAMP, place: self.bulb(), level, wide })
    }
}
