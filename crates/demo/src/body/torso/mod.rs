//! Shoulders, chest and arms of a person, in an oilskin, in an oilskin with a life vest over it, or in a cook's jacket.

mod coat;
mod form;
mod hand;
mod jacket;
mod pose;

pub use pose::Grip;

use self::form::{CLOSE, COAT, Cut, DEEPEST, JACKET};
use self::pose::Arm;
use super::cloth::{bend, creases};
use super::panels::{self, panels};
use crate::material::{GLOVE, HORN, OILSKIN, SKIN_DEEP};
use crate::space::{Bounds, Place, Vec3, distance, uneven, v3};
use crate::trace::{Shape, Surface};

/// What a person wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Garment {
    /// A mid-grey oilskin with its collar up, and wool gloves.
    Oilskin,
    /// The oilskin with the orange life vest over it.
    OilskinAndVest,
    /// A cook's off-white double-breasted jacket with a rolled neckerchief; bare hands.
    Jacket,
}

/// Shoulders, chest and arms down to the thighs; its origin is the pit of the neck, where a head's origin goes too.
/// Facing +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torso {
    place: Place,
    garment: Garment,
    arms: [Arm; 2],
    own: Bounds,
}

/// What of a torso a point is nearest to.
struct Parts {
    /// Trunk and sleeves with their folds.
    cloth: f64,
    /// The same without the sleeves.
    trunk: f64,
    hands: f64,
    /// Whether a sleeve is nearer than the trunk.
    on_sleeve: bool,
}

impl Torso {
    /// A person's at a place, the arms hanging.
    pub fn new(place: Place, garment: Garment) -> Self {
        let own = Bounds { least: v3(0.0, 0.0, 0.0), most: v3(0.0, 0.0, 0.0) };
        let arms = [Arm::new(-1.0, Grip::Hanging), Arm::new(1.0, Grip::Hanging)];
        Self { place, garment, arms, own }.bounded()
    }

    /// With the hand of a side (1 at +x of its own axes, its left; -1 its right) doing something, at places of the
    /// scene. An arm reaches half a metre from its shoulder.
    pub fn with_hand(mut self, side: f64, grip: Grip) -> Self {
        let inward = |at: Vec3| self.place.inward(at);
        let grip = match grip {
            Grip::Hanging => Grip::Hanging,
            Grip::Flat { at } => Grip::Flat { at: inward(at) },
            Grip::Round { at, along, radius } => {
                Grip::Round { at: inward(at), along: inward(self.place.at + along), radius }
            }
        };
        self.arms[usize::from(side > 0.0)] = Arm::new(side.signum(), grip);
        self.bounded()
    }

    fn cut(&self) -> &'static Cut {
        match self.garment {
            Garment::Oilskin | Garment::OilskinAndVest => &COAT,
            Garment::Jacket => &JACKET,
        }
    }

    fn bounded(self) -> Self {
        let cut = self.cut();
        let (wide, deep) = (cut.hem[0].max(0.2) + DEEPEST, cut.hem[1] + DEEPEST);
        let vest = if self.garment == Garment::OilskinAndVest { 0.055 } else { 0.012 };
        let mut own =
            Bounds { least: v3(-wide, cut.hem_at - DEEPEST - 0.004, -deep - vest), most: v3(wide, 0.105, deep + vest) };
        for arm in self.arms {
            for (at, thick) in [
                (arm.shoulder, cut.sleeve[0] + 0.02),
                (arm.elbow, cut.sleeve[1] + 0.013),
                (arm.wrist, cut.sleeve[2] + 0.01),
                (arm.hand.middle, 0.125),
            ] {
                own = own.with(&Bounds::around(at, v3(thick, thick, thick)));
            }
        }
        Self { own, ..self }
    }

    /// A plain lit place of the chest, on the side of +x where `side` is 1 and of -x where it is -1, for a mark: the
    /// garment's own cloth, or the vest's orange.
    pub fn chest(&self, side: f64) -> Vec3 {
        let (x, y) = match self.garment {
            Garment::Oilskin => (0.105 * side, -0.275),
            Garment::OilskinAndVest => (panels::PLAIN[0] * side, panels::PLAIN[1]),
            Garment::Jacket => (0.112 * side, -0.20),
        };
        // From the front until the cloth is met.
        let mut z = 0.3;
        for _ in 0..80 {
            z -= self.own_distance(v3(x, y, z));
        }
        self.place.outward(v3(x, y, z))
    }

    fn parts(&self, q: Vec3) -> Parts {
        let cut = self.cut();
        let mut trunk = form::trunk(q, cut);
        if trunk < CLOSE {
            trunk -= form::near(trunk) * form::trunk_folds(q, cut);
        }
        let (mut cloth, mut hands, mut nearest) = (trunk, f64::INFINITY, f64::INFINITY);
        let bare = self.garment == Garment::Jacket;
        for arm in &self.arms {
            let at = form::sleeve(q, arm, cut);
            let mut sleeve = at.distance;
            if sleeve < CLOSE {
                sleeve -= form::near(sleeve) * form::sleeve_folds(q, &at, cut);
            }
            nearest = nearest.min(sleeve);
            cloth = distance::joined(cloth, sleeve, 0.035);
            // Half shadows take the distance at its word, so a bound may not be much less than it.
            let tips = if arm.hand.radius.is_some() { 0.0 } else { 0.035 };
            let far = distance::limb(q, arm.wrist, arm.hand.middle + arm.hand.ahead * tips, 0.04, 0.095);
            if far > 0.04 {
                hands = hands.min(far);
                continue;
            }
            let (curl, thick) = (if arm.hand.back.y > 0.9 { 0.15 } else { 1.0 }, if bare { 0.0 } else { 0.0022 });
            let wrist = distance::limb(q, arm.wrist - arm.ahead * 0.05, arm.wrist, 0.028, 0.027);
            let to_hand = arm.hand.middle + (arm.wrist - arm.hand.middle) * 0.55;
            let heel = distance::limb(q, arm.wrist, to_hand_of(arm, to_hand), 0.027, 0.024);
            let hand = distance::joined(hand::hand(q, &arm.hand, curl, thick), wrist.min(heel) - thick, 0.02);
            hands = hands.min(hand);
        }
        Parts { cloth, trunk, hands, on_sleeve: nearest < trunk }
    }

    fn own_distance(&self, q: Vec3) -> f64 {
        let parts = self.parts(q);
        let dressed = match self.garment {
            Garment::Jacket => jacket::sewn(q, parts.cloth, parts.trunk),
            Garment::Oilskin => coat::sewn(q, parts.cloth),
            Garment::OilskinAndVest => coat::sewn(q, parts.cloth).min(panels(q, parts.trunk - 0.004).distance()),
        };
        // Folds are steeper than the bodies that they lie on.
        0.74 * dressed.min(parts.hands)
    }

    fn hand(&self, q: Vec3, normal: Vec3) -> Surface {
        if self.garment == Garment::Jacket {
            let lines = |p: Vec3| 0.0012 * uneven(61, p * 70.0);
            return Surface { soft: 0.12, ..Surface::of(SKIN_DEEP, normal).glossy(0.03, 14.0) }
                .bent(bend(q, normal, lines));
        }
        wool(q, normal)
    }

    fn oilskin(&self, q: Vec3, normal: Vec3, on_sleeve: bool) -> Surface {
        if q.z > 0.0
            && !on_sleeve
            && coat::button(q) < 0.0005
            && q.y > -0.75
            && normal.z > 0.3
            && coat::collar(q) > 0.004
        {
            return Surface::of(HORN, normal).glossy(0.04, 40.0);
        }
        if coat::jumper(q) < 0.0008 {
            return wool(q, normal);
        }
        cloth_of_oilskin(q, normal, coat::stitched)
    }
}

/// Wool: soft, its knitted ribs wander.
fn wool(q: Vec3, normal: Vec3) -> Surface {
    let ribs = |p: Vec3| 0.0011 * uneven(62, v3(p.x * 190.0, p.y * 60.0, p.z * 190.0)) + 0.0012 * uneven(63, p * 90.0);
    Surface { soft: 0.2, ..Surface::of(GLOVE, normal) }.bent(bend(q, normal, ribs))
}

/// Where the wrist goes over into the hand: on the side of the palm of a fist, straight on for an open hand.
fn to_hand_of(arm: &Arm, straight: Vec3) -> Vec3 {
    match arm.hand.radius {
        Some(radius) => arm.hand.middle + arm.hand.back * (radius + 0.014) - arm.hand.ahead * 0.03,
        None => straight,
    }
}

/// The grey oilskin's surface, with what is sewn on as a height: worn creases, a broad soft gloss.
pub(super) fn cloth_of_oilskin(q: Vec3, normal: Vec3, sewn: impl Fn(Vec3) -> f64) -> Surface {
    let height = |p: Vec3| 0.0042 * creases(41, p * 13.0) + 0.0016 * creases(44, p * 31.0) + sewn(p);
    let deep = creases(41, q * 13.0);
    let worn = uneven(47, q * 6.0);
    let surface = Surface::of(OILSKIN, normal).glossy(0.036 + 0.024 * worn, 11.0 + 7.0 * worn);
    Surface { open: 0.86 + 0.14 * (deep * 3.0).min(1.0), ..surface }.bent(bend(q, normal, height))
}

impl Shape for Torso {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&self.own)
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let far = self.own.distance(q);
        if far > 0.4 { far } else { self.own_distance(q) }
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        let flat = self.place.inward(self.place.at + normal);
        let parts = self.parts(q);
        let surface = match self.garment {
            Garment::Jacket if parts.hands > jacket::sewn(q, parts.cloth, parts.trunk) => jacket::surface(q, flat),
            Garment::OilskinAndVest => {
                let vest = panels(q, parts.trunk - 0.004);
                let coat = coat::sewn(q, parts.cloth);
                if vest.distance() < coat.min(parts.hands) {
                    vest.surface(q, flat)
                } else if parts.hands < coat {
                    self.hand(q, flat)
                } else {
                    self.oilskin(q, flat, parts.on_sleeve)
                }
            }
            Garment::Oilskin if parts.hands > coat::sewn(q, parts.cloth) => self.oilskin(q, flat, parts.on_sleeve),
            Garment::Oilskin | Garment::Jacket => self.hand(q, flat),
        };
        Surface { normal: self.place.outward(surface.normal) - self.place.at, ..surface }
    }
    fn dear(&self) -> bool {
        true
    }
}
