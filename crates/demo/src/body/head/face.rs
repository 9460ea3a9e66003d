//! The skin's form: skull, cheekbones, jaw and flesh, with nose, lips, lids and ears joined on. In millimetres.
//!
//! Every feature has a ball beyond which it changes nothing, so that a place pays only for what is near it.

use super::eye::Eyes;
use super::features::Features;
use super::form::{Egg, Limb};
use super::mouth::Mouth;
use super::nose::Nose;
use crate::space::{Vec3, distance, v3};

/// Side of the face that a point is on: 0 for -x, 1 for +x.
pub fn side(p: Vec3) -> usize {
    usize::from(p.x > 0.0)
}

/// The point on the side of +x.
pub fn folded(p: Vec3) -> Vec3 {
    v3(p.x.abs(), p.y, p.z)
}

/// A face made ready: what is told of one side is mirrored.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Face {
    /// The numbers it is made of.
    pub features: Features,
    /// Its eyes.
    pub eyes: Eyes,
    /// Its nose.
    pub nose: Nose,
    /// Its mouth.
    pub mouth: Mouth,
    skull: Egg,
    brow: Limb,
    mask: Egg,
    cheekbone: Limb,
    jaw: Limb,
    branch: Limb,
    cheek: Egg,
    chin: Egg,
    fold: Limb,
    beside_fold: Limb,
}

/// Hollow of the temple, hollow between nose and cheek, groove under the lower lip, groove under the nose.
const TEMPLE: Egg = Egg::new(v3(66.0, 24.0, 44.0), v3(24.0, 34.0, 34.0));
const TEAR: Limb = Limb::new(v3(14.0, -14.0, 80.0), v3(38.0, -24.0, 76.0), 11.0, 11.0);
const UNDER_LIP: Egg = Egg::new(v3(0.0, -90.0, 90.0), v3(22.0, 9.0, 22.0));
const UNDER_NOSE: Limb = Limb::new(v3(0.0, -50.0, 96.0), v3(0.0, -66.0, 98.0), 5.0, 5.0);
/// One brow's corner stands a little higher than the other; between the brows is a crease.
const ONE_BROW: Egg = Egg::new(v3(22.0, 20.0, 84.0), v3(18.0, 10.0, 20.0));
const CREASE: Egg = Egg::new(v3(0.0, 12.0, 92.0), v3(5.0, 14.0, 14.0));

/// Lines that laughing leaves beside the eyes.
const LAUGH: [Limb; 3] = [
    Limb::new(v3(49.0, 2.0, 66.0), v3(63.0, 8.0, 46.0), 2.2, 2.2),
    Limb::new(v3(49.0, -3.0, 66.0), v3(64.0, -3.0, 46.0), 2.2, 2.2),
    Limb::new(v3(48.0, -7.0, 66.0), v3(61.0, -14.0, 50.0), 2.2, 2.2),
];

/// Two lines across the forehead, 0..1: uneven, and broken towards the temples.
fn forehead(p: Vec3) -> f64 {
    let x = p.x * (1.0 / 38.0);
    let rest = 1.0 - x * x;
    if rest <= 0.0 || p.y < 20.0 {
        return 0.0;
    }
    let line = |height: f64| {
        let away = (p.y - height) * 0.5;
        let near = 1.0 - away * away;
        if near > 0.0 { near * near } else { 0.0 }
    };
    let sag = 3.0 * x * x - 1.2 * x;
    rest * (line(29.5 + sag) + line(37.0 + 0.6 * sag + 1.5 * x))
}

impl Face {
    /// The face of some features.
    pub const fn of(f: &Features) -> Self {
        let [x, y, z] = f.skull;
        let corner = v3(f.jaw, -72.0, 4.0);
        let fold = [v3(16.0, -42.0, 90.0), v3(31.0, -76.0, 76.0)];
        let beside = [v3(23.5, -40.0, 87.0), v3(39.0, -74.0, 71.0)];
        Self {
            features: *f,
            eyes: Eyes::of(f),
            nose: Nose::of(f),
            mouth: Mouth::of(f),
            skull: Egg::new(v3(0.0, 36.0, -8.0), v3(x, y, z)),
            brow: Limb::new(v3(0.0, 16.0, 79.0), v3(40.0, 17.0, 60.0), 9.0 + f.ridge, 9.0),
            mask: Egg::new(v3(0.0, -42.0, 38.0), v3(50.0 + 0.4 * f.cheeks, 68.0, 50.0)),
            cheekbone: Limb::new(v3(35.0, -24.0, 65.0), v3(f.cheekbones - 2.0, -13.0, 16.0), 11.0, 8.0),
            jaw: Limb::new(corner, v3(17.0, -103.0, 68.0 + f.chin[1]), 11.0, 11.5),
            branch: Limb::new(corner, v3(f.cheekbones - 3.0, -12.0, 0.0), 11.0, 7.0),
            cheek: Egg::new(v3(33.0, -51.0, 36.0), v3(24.0 + f.cheeks, 38.0, 34.0 + f.cheeks)),
            chin: Egg::new(v3(0.0, -103.0, 75.0 + f.chin[1]), v3(f.chin[0], 13.0, 16.0)),
            fold: Limb::new(fold[0], fold[1], 7.0, 7.0),
            beside_fold: Limb::new(beside[0], beside[1], 11.0, 11.0),
        }
    }

    /// Distance to the skin without ears; lids with it, eyeballs not.
    pub fn skin(&self, p: Vec3) -> f64 {
        let q = folded(p);
        let mut d = self.bone(q);
        if d > 52.0 {
            return d - 24.0;
        }
        d -= self.flesh(p, q);
        d = self.eyes.socket(q, d);
        d = self.nose.on(p, d);
        d = self.mouth.on(p, d);
        self.eyes.lids(q, side(p), d)
    }

    /// Skull, jaw and the soft parts over them.
    fn bone(&self, q: Vec3) -> f64 {
        let mut d = self.skull.distance(q);
        // Nothing of the face reaches far up or back.
        if q.y > 48.0 || q.z < -32.0 {
            return d;
        }
        if q.y > -20.0 {
            d = distance::joined(d, self.brow.distance(q), 17.0);
        }
        d = distance::joined(d, self.mask.distance(q), 18.0);
        d = distance::joined(d, self.cheekbone.distance(q), 18.0);
        d = distance::joined(d, self.branch.distance(q), 18.0);
        d = distance::joined(d, self.cheek.distance(q), 18.0);
        if q.y > -40.0 {
            return d;
        }
        d = distance::joined(d, self.jaw.distance(q), 18.0);
        distance::joined(d, self.chin.distance(q), 14.0)
    }

    /// How far flesh stands out over the bone, or lies in.
    fn flesh(&self, p: Vec3, q: Vec3) -> f64 {
        let mut out = -2.6 * TEMPLE.hill(q);
        if q.z < 40.0 || q.y > 34.0 {
            return out;
        }
        if q.x > 44.0 && q.y > -16.0 {
            out -= self.features.lines * LAUGH.iter().map(|line| line.hill(q)).sum::<f64>();
        }
        if q.y > -3.0 {
            return out + 1.2 * ONE_BROW.hill(p) - 1.0 * CREASE.hill(p) - self.features.lines * forehead(p);
        }
        let deep = self.features.folds;
        out -= 2.0 * TEAR.hill(q);
        out += deep * (0.9 * self.beside_fold.hill(q) - self.fold.hill(q));
        out - 2.6 * UNDER_LIP.hill(p) - 1.2 * UNDER_NOSE.hill(p)
    }
}
