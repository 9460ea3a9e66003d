//! An 18 % grey card in a slate frame, 160 by 210 mm, upright, its face to +z, with three dark greys along its foot; its origin is the middle of its lower edge.

use crate::material::CARD;
use crate::space::{Bounds, Place, Vec3, distance, v3};
use crate::trace::{Shape, Surface};

/// An 18 % grey card in a slate frame, 160 by 210 mm, upright, its face to +z, with three dark greys along its foot; its origin is the middle of its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card {
    place: Place,
}

impl Card {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of the grey.
    pub fn face(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.125, 0.01))
    }

    /// Half width and height of a mark within the grey, in metres.
    pub const FACE_HALF: [f64; 2] = [0.05, 0.06];

    /// The middle of a dark grey: 0 is 4 stops under the card, 1 is 5, 2 is 6.
    pub fn dark(&self, index: usize) -> Vec3 {
        self.place.outward(v3((index as f64 - 1.0) * 0.042, 0.032, 0.01))
    }

    /// Half the width of a mark within a dark grey, in metres.
    pub const DARK_HALF: f64 = 0.012;
}

impl Shape for Card {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.08, 0.0, -0.01), most: v3(0.08, 0.21, 0.01) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        distance::block(q - v3(0.0, 0.105, 0.0), v3(0.08, 0.105, 0.01), 0.005)
    }
    fn surface(&self, _: Vec3, normal: Vec3, _: f64) -> Surface {
        Surface { even: true, ..Surface::of(CARD, normal) }
    }
}
