//! Shoulders and chest of a person, in an oilskin or a cook's jacket.

use crate::material::{CREAM, STEEL, VEST};
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// What a person wears.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Garment {
    /// A mid-grey oilskin with its collar up.
    Oilskin,
    /// The oilskin with the orange life vest over it.
    OilskinAndVest,
    /// A cook's off-white jacket.
    Jacket,
}

/// Shoulders, chest and upper arms; its origin is the pit of the neck, where a head's origin goes too. Facing +z.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Torso {
    place: Place,
    garment: Garment,
}

impl Torso {
    /// A person's at a place.
    pub fn new(place: Place, garment: Garment) -> Self {
        Self { place, garment }
    }

    /// A plain lit place of the chest, on the side of +x where `side` is 1 and of -x where it is -1, for a mark.
    pub fn chest(&self, side: f64) -> Vec3 {
        self.place.outward(v3(0.1 * side, -0.2, 0.11))
    }
}

impl Shape for Torso {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.32, -0.75, -0.2), most: v3(0.32, 0.08, 0.24) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, -0.4, 0.0), v3(0.24, 0.36, 0.11), 0.1)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        let material = match self.garment {
            Garment::Oilskin => STEEL,
            Garment::OilskinAndVest => VEST,
            Garment::Jacket => CREAM,
        };
        Surface::of(material, normal)
    }
}
