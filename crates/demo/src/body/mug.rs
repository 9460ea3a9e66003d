//! A white enamel mug with a blue rim and dark tea in it.

use super::enamel::enamel;
use super::lathe::{section, sheet};
use crate::material::TEA;
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// A white enamel mug with a blue rim, 85 mm high; its origin is the middle of its foot, the handle towards +x.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mug {
    place: Place,
}

/// Bottom, round foot and wall: radius and height.
const WALL: [[f64; 2]; 8] = [
    [0.0, 0.005],
    [0.03, 0.005],
    [0.0345, 0.0058],
    [0.037, 0.008],
    [0.0383, 0.012],
    [0.0389, 0.018],
    [0.0393, 0.03],
    [0.0402, 0.0825],
];
/// Height of the tea.
const TEA_HEIGHT: f64 = 0.066;

impl Mug {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// A plain white place of its front, for a mark.
    pub fn front(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.042, 0.0403))
    }
}

/// A flat band bent to a bow beside the wall.
fn handle(q: Vec3) -> f64 {
    let p = q - v3(0.043, 0.045, 0.0);
    let up = p.y - p.y.clamp(-0.009, 0.007);
    let bow = section(p.x.leg(up), p.z, [0.0185, 0.0], [0.0021, 0.0055], 0.0018);
    distance::common(bow, -0.004 - p.x, 0.001)
}

impl Shape for Mug {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.044, 0.0, -0.044), most: v3(0.065, 0.0855, 0.044) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let r = q.x.leg(q.z);
        let rim = (r - 0.0405).leg(q.y - 0.083) - 0.0018;
        let foot = (r - 0.031).leg(q.y - 0.002) - 0.002;
        let shell = distance::joined(sheet(r, q.y, &WALL, 0.001), rim, 0.0015);
        let tea = section(r, q.y, [0.0, 0.75 * TEA_HEIGHT], [0.0389, 0.25 * TEA_HEIGHT], 0.0);
        let pot = shell.min(foot).min(tea);
        if q.x > 0.02 { distance::joined(pot, handle(q), 0.003) } else { pot }
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let r = q.x.leg(q.z);
        if r < 0.0388 && normal.y > 0.8 && (q.y - TEA_HEIGHT).abs() < 0.002 {
            return Surface::of(TEA, normal).glossy(0.03, 300.0);
        }
        let chips = [
            (v3(-0.017, 0.082, 0.0375), 0.0058),
            (v3(0.0215, 0.0035, 0.0265), 0.0045),
            (v3(0.0635, 0.052, 0.003), 0.003),
        ];
        enamel(q, normal, 0.0785 - q.y, &chips)
    }
}
