//! Herbs in a crate of pine: sage, parsley, chives in flower and basil.

mod leaf;
mod plant;

use leaf::Leaves;

use super::wood::{PINE_WOOD, Wood};
use crate::material::{FLOWER, IRON, LEAF, LEAF_BLUE, LEAF_YOUNG, Material, SOIL};
use crate::space::Leg as _;
use crate::space::{Bounds, Place, Vec3, distance, smooth, uneven, v3};
use crate::trace::{Shape, Surface};

/// Herbs in a crate of pine, 340 mm wide, 120 mm high without the leaves; its origin is the middle of its foot.
#[derive(Debug, Clone, PartialEq)]
pub struct Herbs {
    place: Place,
    leaves: Leaves,
}

impl Herbs {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place, leaves: Leaves::new(&plant::all()) }
    }

    /// A point of the leaves, seen from the front, for a mark.
    pub fn leaves(&self) -> Vec3 {
        let [at, towards] = [v3(-0.02, 0.175, 0.3), v3(0.0, 0.0, -1.0)];
        let mut ahead = 0.0;
        for _ in 0..64 {
            ahead += self.leaves.distance(at + towards * ahead).max(0.0);
        }
        self.place.outward(at + towards * ahead)
    }

    /// Three slats a side, a post in each corner, a floor, and the soil; the ends of the slats nailed.
    fn crate_of_slats(q: Vec3) -> f64 {
        let (side, deep) = (q.x.abs(), q.z.abs());
        let row = ((q.y - 0.021) / 0.0405).round().clamp(0.0, 2.0);
        let face =
            if q.z > 0.0 { [[-0.3, 0.1, 0.4], [0.4, -0.3, -0.1], [-0.1, 0.4, 0.2]] } else { [[0.2, 0.3, -0.4]; 3] };
        let [tilt, longer, off] = face[row as usize];
        let lean = 0.005 * tilt * q.x / 0.17;
        let front = distance::block(
            v3(side - 0.0006 * longer, q.y - 0.021 - 0.0405 * row - lean, deep - 0.104 - 0.0015 * off),
            v3(0.17, 0.0172, 0.0042),
            0.0018,
        );
        let end =
            distance::block(v3(side - 0.1655, q.y - 0.021 - 0.0405 * row, q.z), v3(0.0042, 0.0172, 0.0995), 0.0018);
        let post = distance::block(v3(side - 0.15, q.y - 0.059, deep - 0.088), v3(0.011, 0.056, 0.011), 0.002);
        let floor = distance::block(q - v3(0.0, 0.007, 0.0), v3(0.16, 0.004, 0.098), 0.001);
        let soil = distance::block(q - v3(0.0, 0.05, 0.0), v3(0.16, 0.048, 0.097), 0.004);
        0.95 * front.min(end).min(post).min(floor).min(soil)
    }

    fn crate_surface(q: Vec3, normal: Vec3) -> Surface {
        if q.x.abs() < 0.161 && q.z.abs() < 0.0985 && q.y < 0.1 {
            return Surface::of(SOIL, normal)
                .bent((v3(uneven(62, q * 260.0), 0.5, uneven(63, q * 260.0)) - v3(0.5, 0.5, 0.5)) * 0.8);
        }
        let row = ((q.y - 0.021) / 0.0405).round();
        // Two nails at each end of a slat.
        let from_nail = (q.x.abs() - 0.15).leg((q.y - 0.021 - 0.0405 * row).abs() - 0.008);
        if q.z.abs() > 0.1 && from_nail < 0.0019 {
            return Surface::of(IRON, normal).glossy(0.06, 20.0);
        }
        let wood = Wood { dull: true, ..PINE_WOOD };
        let slat = 10.0 * row + if q.z > 0.0 { 1.0 } else { 2.0 } + if q.x.abs() > 0.1702 { 4.0 } else { 0.0 };
        let surface =
            wood.surface(if q.x.abs() > 0.1702 { v3(q.z, q.y, q.x) } else { v3(q.x, q.y, q.z) }, slat as i64, normal);
        // Rust has run from the nails; dirt sits along the foot.
        let stain = smooth(0.012, 0.003, from_nail).max(smooth(0.02, 0.002, q.y) * 0.6);
        if q.z.abs() > 0.1 { Surface { share: (surface.share + 0.5 * stain).min(1.0), ..surface } } else { surface }
    }
}

/// What a plant is made of, and how it shines.
fn leaf_surface(kind: leaf::Kind, seed: f64, along: f64, across: f64, normal: Vec3) -> Surface {
    let (own, other, gloss): (Material, Material, f64) = match kind {
        leaf::Kind::Parsley => (LEAF, LEAF_YOUNG, 0.03),
        leaf::Kind::Sage => (LEAF_BLUE, LEAF_YOUNG, 0.008),
        leaf::Kind::Basil => (LEAF_YOUNG, LEAF, 0.045),
        leaf::Kind::Chive => (LEAF, LEAF_BLUE, 0.035),
        leaf::Kind::Flower => (FLOWER, LEAF_BLUE, 0.01),
    };
    let vein = smooth(0.16, 0.04, across.abs()) * 0.35;
    let side = smooth(0.12, 0.0, (across.abs() * 3.0 + along * 1.2).rem_euclid(0.8) - 0.1) * 0.12;
    let share = (0.35 * seed + vein + side + 0.2 * smooth(0.6, 1.0, along)).min(0.5);
    let share = if kind == leaf::Kind::Flower { 0.25 * seed * seed } else { share };
    let open = if kind == leaf::Kind::Flower { 1.0 } else { 0.85 + 0.15 * along.clamp(0.0, 1.0) };
    Surface { soft: 0.3, open, ..Surface::of(own, normal).mixed(other, share).glossy(gloss, 22.0) }
}

impl Shape for Herbs {
    fn bounds(&self) -> Bounds {
        let leaves = self.leaves.bounds();
        self.place.bounds(&leaves.with(&Bounds { least: v3(-0.171, 0.0, -0.11), most: v3(0.171, 0.121, 0.11) }))
    }
    fn distance(&self, p: Vec3, _: f64) -> f64 {
        let q = self.place.inward(p);
        let leaves = self.leaves.distance(q);
        // The crate's parts are asked only where its outside is nearer than the leaves.
        let outside = distance::block(q - v3(0.0, 0.061, 0.0), v3(0.171, 0.061, 0.11), 0.0);
        if outside > leaves { leaves } else { leaves.min(Self::crate_of_slats(q)) }
    }
    fn surface(&self, p: Vec3, normal: Vec3, _: f64) -> Surface {
        let q = self.place.inward(p);
        match self.leaves.at(q) {
            Some((near, kind, seed, [along, across])) if near < Self::crate_of_slats(q) => {
                leaf_surface(kind, seed, along, across, normal)
            }
            _ => Self::crate_surface(q, normal),
        }
    }
    fn dear(&self) -> bool {
        true
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_mark_lies_on_a_leaf_and_within_the_bounds() {
        let herbs = Herbs::standing(Place::at(v3(0.4, 0.9, -0.2)).facing(0.4));
        let mark = herbs.leaves();
        assert!(herbs.distance(mark, 0.0).abs() < 1e-3, "{}", herbs.distance(mark, 0.0));
        assert!(herbs.bounds().grown(1e-3).distance(mark) == 0.0);
    }
}
