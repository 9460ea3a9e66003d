//! The nose: bridge, tip, wings and nostrils. In millimetres.

use super::features::Features;
use super::form::{Egg, Limb};
use crate::space::{Vec3, distance, v3};

/// The nose of a face.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Nose {
    bent: f64,
    /// One over its length from the root down to the tip.
    over: f64,
    back: Limb,
    hump: Egg,
    tip: Egg,
    flank: Limb,
    wing: Egg,
    foot: Limb,
    nostril: Egg,
}

impl Nose {
    /// The nose of some features.
    pub const fn of(f: &Features) -> Self {
        let [bridge, tip, wings] = f.nose;
        let [height, front] = f.tip;
        Self {
            bent: f.bent,
            over: 1.0 / (6.0 - height),
            back: Limb::new(v3(0.0, 8.0, 84.0), v3(0.0, height + 5.0, front - tip - 1.0), bridge, tip - 2.0),
            hump: Egg::new(v3(0.0, -13.0, 92.0), v3(bridge + 0.6, 11.0, 7.0 + f.hump)),
            tip: Egg::new(v3(0.0, height, front - tip), v3(tip, tip * 0.88, tip)),
            flank: Limb::new(v3(5.0, -8.0, 80.0), v3(wings - 6.0, height + 1.0, front - 22.0), 6.0, 6.5),
            wing: Egg::new(v3(wings - 5.5, height - 3.0, front - 17.5), v3(6.6, 7.6, 11.5)),
            foot: Limb::new(v3(0.0, height - 6.0, front - 9.0), v3(0.0, height - 10.0, front - 22.0), 3.6, 4.5),
            nostril: Egg::new(v3(wings - 9.0, height - 10.2, front - 15.5), v3(3.3, 4.6, 6.6)),
        }
    }

    /// The skin with the nose on it.
    pub fn on(&self, p: Vec3, skin: f64) -> f64 {
        let from = p - v3(0.0, -26.0, 94.0);
        if from.dot(from) > 48.0 * 48.0 {
            return skin;
        }
        // The lower, the further out of the middle.
        let lean = ((6.0 - p.y) * self.over).clamp(0.0, 1.0);
        let q = v3((p.x - self.bent * lean).abs(), p.y, p.z);
        let mut d = distance::joined(skin, self.flank.distance(q), 9.0);
        d = distance::joined(d, distance::joined(self.back.distance(q), self.hump.distance(q), 5.0), 8.0);
        if q.y > -18.0 {
            return d;
        }
        d = distance::joined(d, self.tip.distance(q), 5.0);
        d = distance::joined(d, self.wing.distance(q), 4.6);
        d = distance::joined(d, self.foot.distance(q), 4.0);
        distance::without(d, self.nostril.distance(q), 1.8)
    }
}
