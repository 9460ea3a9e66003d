//! A mid-grey oilskin that hangs on a hook, 1050 mm long, its front to +z; its origin is the hook.

use super::cloth::{folds, layer, panel};
use super::torso::cloth_of_oilskin;
use crate::material::IRON;
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, mix, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// A mid-grey oilskin that hangs on a hook, 1050 mm long, its front to +z; its origin is the hook.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Oilskin {
    place: Place,
}

impl Oilskin {
    /// Hanging from a hook on a wall 60 mm behind it.
    pub fn hanging(place: Place) -> Self {
        Self { place }
    }

    /// A plain place of its front, for a mark.
    pub fn plain(&self) -> Vec3 {
        let mut z = 0.3;
        for _ in 0..80 {
            z -= Self::own(v3(-0.075, -0.42, z));
        }
        self.place.outward(v3(-0.075, -0.42, z))
    }

    fn cloth(q: Vec3) -> f64 {
        // Its shoulders have fallen: narrow at the hook, then straight down and a little wider at the hem.
        let fall = smooth(-0.03, -0.26, q.y);
        let wide = mix(0.060, 0.150, fall) + 0.045 * smooth(-0.3, -1.05, q.y);
        let deep = mix(0.030, 0.046, fall) + 0.016 * smooth(-0.3, -1.05, q.y);
        let corner = deep * 0.9;
        let (a, b) = (q.x.abs() - wide + corner, q.z.abs() - deep + corner);
        let around = a.max(0.0).leg(b.max(0.0)) + a.max(b).min(0.0) - corner;
        let up = (q.y + 0.535).abs() - 0.515;
        let (c, d) = (around + 0.02, up + 0.02);
        let body = (c.max(0.0).leg(d.max(0.0)) + c.max(d).min(0.0) - 0.02) * 0.86;
        let side = v3(q.x.abs(), q.y, q.z);
        let sleeve = distance::limb(side, v3(0.125, -0.20, 0.0), v3(0.205, -0.50, 0.004), 0.052, 0.046)
            .min(distance::limb(side, v3(0.205, -0.50, 0.004), v3(0.206, -0.74, 0.026), 0.046, 0.044));
        let sleeve = distance::common(sleeve, -0.755 - q.y + 0.25 * (q.x.abs() - 0.2), 0.006);
        let near = distance::joined(body, sleeve, 0.025);
        if near > 0.03 {
            return near - 0.014;
        }
        // Folds run down from the hook, fewer and deeper to the hem; they wander.
        let slow = uneven(101, q * 4.5) - 0.5;
        let spread = mix(0.046, 0.074, smooth(-0.1, -0.9, q.y));
        let aslant = q.x / (0.55 - 0.55 * q.y) * 0.9 + 0.10 * slow + 0.3 * q.z * q.x / (q.x.abs() + 0.05);
        let run = folds(102, aslant / spread);
        let side_pull = folds(103, (q.y + 0.9 * q.x.abs() + 0.12 * slow) / 0.075);
        let deep = 0.014 * smooth(-0.06, -0.5, q.y) * run
            + 0.008 * smooth(-0.6, -0.2, q.y) * smooth(0.03, 0.1, q.x.abs()) * side_pull;
        near - deep
    }

    fn sewn(q: Vec3) -> f64 {
        let cloth = Self::cloth(q);
        let mut all = cloth;
        if q.z > 0.0 {
            all = all.min(layer(
                cloth,
                0.007,
                panel(q.x - 0.012 - 0.02 * (q.y + 0.5), q.y + 0.56, [0.030, 0.47], 0.01),
                0.003,
            ));
            all = all.min(layer(cloth, 0.007, panel(q.x.abs() - 0.088, q.y + 0.64, [0.048, 0.028], 0.006), 0.003));
        }
        all = all.min(layer(cloth, 0.006, -0.30 + 1.2 * q.x * q.x - q.y, 0.003));
        // The collar, half fallen.
        let p = q - v3(0.0, -0.058, 0.004);
        let lean = 0.060 - 0.30 * p.y;
        let shell = ((p.x * 0.8).leg(p.z * 1.15) - lean).abs() * 0.8 - 0.006;
        let ends = (p.y - 0.03 + 0.4 * p.z).max(-0.062 - p.y + 0.4 * p.x.abs()) * 0.85;
        let gap = if p.z > 0.0 { 0.006 - 0.25 * p.y - p.x.abs() } else { -1.0 };
        all.min(distance::common(distance::common(shell, ends, 0.006), gap * 0.9, 0.004))
    }

    fn hook(q: Vec3) -> f64 {
        let arm = distance::limb(q, v3(0.0, 0.0, -0.07), v3(0.0, 0.006, 0.012), 0.008, 0.007);
        let plate = distance::block(q - v3(0.0, 0.0, -0.066), v3(0.022, 0.045, 0.004), 0.003);
        arm.min(plate)
    }

    fn own(q: Vec3) -> f64 {
        (0.78 * Self::sewn(q)).min(Self::hook(q))
    }
}

impl Shape for Oilskin {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.275, -1.07, -0.085), most: v3(0.275, 0.05, 0.095) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        Self::own(self.place.inward(p))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let (q, flat) = (self.place.inward(p), self.place.inward(self.place.at + normal));
        let surface = if Self::hook(q) < Self::sewn(q) {
            Surface::of(IRON, flat).glossy(0.05, 24.0)
        } else {
            cloth_of_oilskin(q, flat, |_| 0.0)
        };
        Surface { normal: self.place.outward(surface.normal) - self.place.at, ..surface }
    }
    fn dear(&self) -> bool {
        true
    }
}
