//! A brass lantern with a frosted glass.

use super::lathe::{section, sheet};
use crate::material::{BRASS, IRON, TAPE};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A brass lantern with a frosted glass that glows, 290 mm high without its bail; its origin is the middle of its foot.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lantern {
    place: Place,
    source: usize,
    level: f64,
}

/// The cap with its shoulders and chimney: radius and height.
const CAP: [[f64; 2]; 7] =
    [[0.058, 0.198], [0.06, 0.206], [0.046, 0.222], [0.031, 0.231], [0.029, 0.262], [0.04, 0.266], [0.014, 0.286]];

impl Lantern {
    /// Standing at a place; its glass glows with a source, `level` beside a perfect diffuser in full light where it is brightest.
    pub fn standing(place: Place, source: usize, level: f64) -> Self {
        Self { place, source, level }
    }

    /// Hanging by its bail from a point.
    pub fn hanging(place: Place, source: usize, level: f64) -> Self {
        Self { place: Place::at(place.at - v3(0.0, 0.36, 0.0)).facing(place.turned), source, level }
    }

    /// The middle of the flame: the place of a near lamp, which must be at least [`Self::WIDE`] wide, else the glass shades it.
    pub fn flame(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.125, 0.0))
    }

    /// Half the width of a lamp that fills the glass, in metres.
    pub const WIDE: f64 = 0.062;

    fn glass(r: f64, q: Vec3) -> f64 {
        distance::ellipsoid(v3(r, q.y - 0.13, 0.0), v3(0.051, 0.085, 0.051))
    }

    fn brass(r: f64, q: Vec3) -> f64 {
        let font = distance::drum(q - v3(0.0, 0.024, 0.0), 0.024, 0.07, 0.056, 0.007);
        let gallery = section(r, q.y, [0.0, 0.057], [0.043, 0.011], 0.003);
        let cap = sheet(r, q.y, &CAP, 0.0018);
        let knob = (r - 0.0).leg(q.y - 0.289) - 0.0065;
        // Four uprights bowed about the glass, and a ring that holds them.
        let (a, b) = (q.x.abs(), q.z.abs());
        let (near, side) = if a > b { (a, b) } else { (b, a) };
        let bow = 0.063 - 9.0 * (q.y - 0.125) * (q.y - 0.125) * 0.14;
        let upright = 0.95 * (near - bow).leg(side).max((q.y - 0.125).abs() - 0.078) - 0.0022;
        let hoop = (r - 0.0625).leg(q.y - 0.13) - 0.002;
        font.min(gallery).min(cap).min(knob).min(upright).min(hoop)
    }

    /// The bail: a wire from shoulder to shoulder.
    fn bail(q: Vec3) -> f64 {
        let p = q - v3(0.0, 0.285, 0.0);
        let bow = (q.x.leg(p.y.max(0.0) * 0.9) - 0.066).leg(q.z) - 0.0018;
        0.9 * bow.max(0.205 - q.y)
    }
}

impl Shape for Lantern {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.072, 0.0, -0.072), most: v3(0.072, 0.364, 0.072) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let r = q.x.leg(q.z);
        Self::brass(r, q).min(Self::glass(r, q)).min(Self::bail(q))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let r = q.x.leg(q.z);
        let (glass, brass, bail) = (Self::glass(r, q), Self::brass(r, q), Self::bail(q));
        if glass < brass && glass < bail {
            // Frost spreads the flame: brightest about it, soot under the cap.
            let away = (q.y - 0.115) / 0.05;
            let soot = smooth(0.17, 0.205, q.y) * (0.4 + 0.5 * uneven(151, q * 40.0));
            let level = self.level * mix(0.22, 1.0, 1.0 / (1.0 + away * away * away * away)) * (1.0 - 0.7 * soot);
            let surface = Surface::of(TAPE, normal).mixed(IRON, 0.55 + 0.4 * soot).glossy(0.04, 160.0);
            return Surface { glow: Some((self.source, level)), ..surface };
        }
        if bail < brass {
            return Surface::of(IRON, normal).glossy(0.05, 20.0);
        }
        let dull = smooth(0.3, 0.75, uneven(152, q * 33.0) * 0.7 + 0.3 * uneven(153, q * 150.0));
        let bend = v3(uneven(154, q * 55.0) - 0.5, uneven(155, q * 55.0) - 0.5, uneven(156, q * 55.0) - 0.5) * 0.1;
        Surface {
            metal: true,
            ..Surface::of(BRASS, normal).glossy(mix(0.8, 0.35, dull), mix(90.0, 18.0, dull)).bent(bend)
        }
    }
}
