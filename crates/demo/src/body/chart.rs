//! The chart of 24 patches.

use super::slate::{FACE, Slate};
use crate::material::{BLACK, Material};
use crate::space::{Bounds, Place, Vec3, v3};
use crate::trace::{Shape, Surface};

/// The chart of 24 patches in a slate frame: 330 by 240 mm, upright, its face to +z; its origin is the middle of its lower edge.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Chart {
    place: Place,
}

/// Its frame.
const SLATE: Slate = Slate { half: [0.165, 0.12], opening: [0.15, 0.019, 0.221] };
/// From patch to patch, and half a patch's width, in metres.
const PITCH: f64 = 0.05;
const HALF: f64 = 0.0215;

impl Chart {
    /// Standing at a place.
    pub fn standing(place: Place) -> Self {
        Self { place }
    }

    /// The middle of a patch, 0..24, row by row from the left upper one.
    pub fn patch(&self, index: usize) -> Vec3 {
        let (column, row) = ((index % 6) as f64, (index / 6) as f64);
        self.place.outward(v3((column - 2.5) * PITCH, 0.195 - row * PITCH, FACE))
    }

    /// Half the width of a mark within a patch, in metres.
    pub const PATCH_HALF: f64 = 0.016;
}

impl Shape for Chart {
    fn bounds(&self) -> Bounds {
        self.place.bounds(&Bounds { least: v3(-0.167, -0.001, -0.013), most: v3(0.167, 0.242, 0.013) })
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
        let (column, row) =
            ((q.x / PITCH + 3.0).floor().clamp(0.0, 5.0), ((0.22 - q.y) / PITCH).floor().clamp(0.0, 3.0));
        let (u, v) = (q.x - (column - 2.5) * PITCH, q.y - 0.195 + row * PITCH);
        let patch = u.abs().max(v.abs()) < HALF;
        let material = if patch { Material::patch(row as usize * 6 + column as usize) } else { BLACK };
        Surface { even: true, ..Surface::of(material, normal) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_mark_shows_its_patch_alone_with_room_to_spare() {
        let chart = Chart::standing(Place::at(v3(0.3, 0.9, -0.1)).facing(-0.3));
        for index in 0..24 {
            let middle = chart.patch(index);
            for corner in 0..4 {
                let by = 1.2 * Chart::PATCH_HALF;
                let (x, y) = (if corner % 2 == 0 { -by } else { by }, if corner / 2 == 0 { -by } else { by });
                let p = middle + v3(x, y, 0.0).turned_y(-0.3);
                assert!(chart.distance(p, 0.0).abs() < 1e-9, "patch {index}");
                let surface = chart.surface(p, v3(0.0, 0.0, 1.0), 0.0);
                assert_eq!((surface.paints[0], surface.share, surface.even), (Material::patch(index), 0.0, true));
            }
        }
    }
}
