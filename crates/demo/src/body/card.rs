//! The grey card.

use super::slate::{FACE, Slate};
use crate::material::{BLACK, CARD, GREY_M4, GREY_M5, GREY_M6};
use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::{Shape, Surface};

/// An 18 % grey card in a slate frame, 160 by 210 mm, upright, its face to +z, with three dark greys along its foot; its
/// origin is the middle of its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Card {
    place: Place,
}

/// Its frame.
const SLATE: Slate = Slate { half: [0.08, 0.105], opening: [0.067, 0.0125, 0.1985] };
/// From one dark grey's middle to the next, the height of their middles, and half their width, in metres.
const PITCH: f64 = 0.042;
const DARK_HEIGHT: f64 = 0.032;
const DARK: f64 = 0.0165;

impl Card {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of the grey.
    pub fn face(&self) -> Vec3 {
        self.place.outward(v3(0.0, 0.125, FACE))
    }

    /// Half width and height of a mark within the grey, in metres.
    pub const FACE_HALF: [f64; 2] = [0.05, 0.06];

    /// The middle of a dark grey: 0 is 4 stops under the card, 1 is 5, 2 is 6.
    pub fn dark(&self, index: usize) -> Vec3 {
        self.place.outward(v3((index as f64 - 1.0) * PITCH, DARK_HEIGHT, FACE))
    }

    /// Half the width of a mark within a dark grey, in metres.
    pub const DARK_HALF: f64 = 0.012;
}

impl Shape for Card {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.082, -0.001, -0.013), most: v3(0.082, 0.212, 0.013) })
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        SLATE.distance(self.place.inward(p))
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        if !SLATE.within(q) {
            return SLATE.surface(q, normal);
        }
        let normal = self.place.outward(v3(0.0, 0.0, 1.0)) - self.place.at;
        let column = (q.x / PITCH).round().clamp(-1.0, 1.0);
        let dark = (q.x - column * PITCH).abs().max((q.y - DARK_HEIGHT).abs()) < DARK;
        let material = if q.x.abs() < 0.0652 && (0.0525..0.197).contains(&q.y) {
            CARD
        } else if !dark {
            BLACK
        } else if column < 0.0 {
            GREY_M4
        } else if column > 0.0 {
            GREY_M6
        } else {
            GREY_M5
        };
        Surface { even: true, ..Surface::of(material, normal) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mark_shows_its_grey_alone_with_room_to_spare() {
        let card = Card::standing(Place::at(v3(-0.2, 0.9, 0.1)).facing(0.25));
        let darks = [GREY_M4, GREY_M5, GREY_M6].into_iter().enumerate();
        let mut marks: Vec<_> = darks.map(|(at, grey)| (card.dark(at), [Card::DARK_HALF; 2], grey)).collect();
        marks.push((card.face(), Card::FACE_HALF, CARD));
        for (middle, [wide, high], grey) in marks {
            for (x, y) in [(-1.2, -1.2), (1.2, -1.2), (-1.2, 1.2), (1.2, 1.2)] {
                let p = middle + v3(x * wide, y * high, 0.0).turned_y(0.25);
                assert!(card.distance(p, 0.0).abs() < 1e-9);
                let surface = card.surface(p, v3(0.0, 0.0, 1.0), 0.0);
                assert_eq!((surface.paints[0], surface.share, surface.even), (grey, 0.0, true));
            }
        }
    }
}
