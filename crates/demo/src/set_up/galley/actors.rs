//! Who and what recurs in every shot, and its named places.

use crate::body::{Card, Chart, Head, Herbs, Mug, Pan, Rope, Torso, Trap, Vest};
use crate::set_up::marks::{darks, grey, patches, square};
use crate::set_up::{Mark, MarkKind};
use crate::space::{Place, Vec3, v3};
use crate::trace::Shape;

/// A person: garment and head.
pub type Person = (Torso, Head);

/// Who and what recurs, each in its place of a shot.
pub struct Actors {
    pub card: Card,
    pub chart: Chart,
    pub trap: Trap,
    pub mug: Mug,
    pub herbs: Herbs,
    pub vest: Vest,
    pub rope: Rope,
    pub pan: Pan,
    /// Where the pan hangs.
    pub pan_at: Place,
    pub mate: Person,
    pub cook: Person,
    /// A plain place of warm wood.
    pub wood: Vec3,
    /// The side of the faces that the key is on: -1 or 1.
    pub key_side: f64,
}

impl Actors {
    /// The named places; further cards are the shot's own.
    pub fn marks(&self) -> Vec<Mark> {
        let (key, fill) = (self.key_side, -self.key_side);
        let cheek = |name, head: &Head, side| square(name, head.cheek(side), Head::CHEEK_HALF, MarkKind::Skin);
        let surface = |name, place, half| square(name, place, half, MarkKind::Surface);
        let mut marks = vec![grey("grey card", &self.card)];
        marks.extend(darks(&self.card));
        marks.extend(patches(&self.chart));
        marks.extend([
            cheek("mate, key side", &self.mate.1, key),
            cheek("mate, fill side", &self.mate.1, fill),
            cheek("cook, key side", &self.cook.1, key),
            cheek("cook, fill side", &self.cook.1, fill),
            square("herbs", self.herbs.leaves(), 0.012, MarkKind::Foliage),
            surface("enamel mug", self.mug.front(), 0.01),
            surface("oilskin", self.mate.0.chest(key), 0.02),
            surface("rope", self.rope.tan(), 0.006),
            surface("life vest", self.vest.orange(), 0.02),
            surface("wood", self.wood, 0.012),
            surface("copper pan", self.pan_at.outward(v3(0.06, -0.05, 0.0)), 0.012),
            surface("light trap", self.trap.mouth(), Trap::MOUTH_HALF),
        ]);
        marks
    }

    /// The bodies.
    pub fn shapes(self) -> Vec<Box<dyn Shape>> {
        vec![
            Box::new(self.card),
            Box::new(self.chart),
            Box::new(self.trap),
            Box::new(self.mug),
            Box::new(self.herbs),
            Box::new(self.vest),
            Box::new(self.rope),
            Box::new(self.pan),
            Box::new(self.mate.0),
            Box::new(self.mate.1),
            Box::new(self.cook.0),
            Box::new(self.cook.1),
        ]
    }
}
