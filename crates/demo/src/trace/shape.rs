//! What a body is to the tracer.

use crate::material::Material;
use crate::space::{Bounds, Vec3};

/// A body. All moments are in seconds from the first frame.
pub trait Shape: Send + Sync {
    /// A box that holds it, at every moment.
    fn bounds(&self) -> Bounds;

    /// Signed distance of a point in metres, negative inside, or a lower bound of it.
    fn distance(&self, p: Vec3, seconds: f64) -> f64;

    /// What is met at a point of the surface, whose outward normal is given.
    fn surface(&self, p: Vec3, normal: Vec3, seconds: f64) -> Surface;

    /// Whether it moves: its part of the picture is traced anew for every frame.
    fn moves(&self) -> bool {
        false
    }

    /// Whether it throws shadows; a wall behind everything need not.
    fn shades(&self) -> bool {
        true
    }

    /// What it spreads around itself in the picture, if it is that bright.
    fn halo(&self) -> Option<Halo> {
        None
    }

    /// Whether an eye or a mirror sees it; a flag that only keeps a lamp off something is not seen.
    fn seen(&self) -> bool {
        true
    }

    /// Whether its distance costs so much that it is worth a grid of them.
    fn dear(&self) -> bool {
        false
    }

    /// Length in metres over which the surface is taken to be flat when its normal is sought.
    fn fineness(&self) -> f64 {
        4e-4
    }
}

/// The glow about a bright lamp: its light on damp air and in the lens, whatever stands before it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Halo {
    /// Which of the set-up's sources.
    pub source: usize,
    /// Its middle.
    pub place: Vec3,
    /// How bright it is in its middle, beside a perfect diffuser in full light.
    pub level: f64,
    /// Angle in radians within which it falls to about a third; beyond twelve of these there is none.
    pub wide: f64,
}

impl Halo {
    /// How bright it is along a direction of length 1 from a place.
    pub fn along(&self, from: Vec3, towards: Vec3) -> f64 {
        let angle = (2.0 * (1.0 - (self.place - from).unit().dot(towards)).max(0.0)).sqrt() / self.wide;
        let end = 1.0 - (angle / 12.0).min(1.0);
        self.level * end * end / (1.0 + angle * angle)
    }
}

/// A place on a body.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Surface {
    /// Two materials, of which the second covers `share` of the place.
    pub paints: [Material; 2],
    /// 0..1.
    pub share: f64,
    /// The normal, bent where the surface is rough; of length 1.
    pub normal: Vec3,
    /// Share of the light that is mirrored when looked at straight: .04 for lacquer and wet things, 0 for chalk, .9
    /// for a metal.
    pub gloss: f64,
    /// How sharp its mirrored light is: 1 for a bloom, 100 for polish. From 60 on what stands around is mirrored too; from
    /// 1000 on, as in a pane, lamps are mirrored as the bodies that they are alone.
    pub sharpness: f64,
    /// A metal mirrors in its own colour and has no other.
    pub metal: bool,
    /// 0..1: what is left of the light from all around, beside what other bodies take (creases, weave).
    pub open: f64,
    /// 0..1: how far light goes round, as through skin and leaves.
    pub soft: f64,
    /// Lies flat and even, as cards and charts do: mirrors nothing and its corners are not darkened, so that it reads
    /// exactly as its paint under the light.
    pub even: bool,
    /// How wide the smallest things on it are in metres, where it has any: sampled finer where a pixel shows as much.
    pub fine: Option<f64>,
    /// It sends light of its own: the source, and how bright beside a perfect diffuser in full light.
    pub glow: Option<(usize, f64)>,
}

impl Surface {
    /// A matt surface of one material.
    pub fn of(material: Material, normal: Vec3) -> Self {
        Self {
            paints: [material, material],
            share: 0.0,
            normal,
            gloss: 0.0,
            sharpness: 1.0,
            metal: false,
            open: 1.0,
            soft: 0.0,
            even: false,
            fine: None,
            glow: None,
        }
    }

    /// With a second material over `share` of it.
    pub fn mixed(self, other: Material, share: f64) -> Self {
        Self { paints: [self.paints[0], other], share: share.clamp(0.0, 1.0), ..self }
    }

    /// With gloss.
    pub fn glossy(self, gloss: f64, sharpness: f64) -> Self {
        Self { gloss, sharpness, ..self }
    }

    /// With its normal bent by a vector that is small beside 1.
    pub fn bent(self, by: Vec3) -> Self {
        Self { normal: (self.normal + by).unit(), ..self }
    }
}
