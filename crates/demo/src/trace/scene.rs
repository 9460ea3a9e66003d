//! Bodies, lamps, and what is behind them all.

use super::grid::Still;
use super::shape::Shape;
use crate::material::Material;
use crate::space::{Bounds, Ray, Vec3};

/// How a lamp's light comes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum LampKind {
    /// From so far away that it is even: the direction to it, of length 1, and its half width over its distance (.005
    /// for the sun, .3 for a soft panel).
    Far {
        /// Towards the lamp.
        towards: Vec3,
        /// Half its width over its distance.
        wide: f64,
    },
    /// From a place: it falls with the square of the distance, and has its level at a distance of one metre.
    Near {
        /// Where it is.
        place: Vec3,
        /// Half its width in metres.
        wide: f64,
    },
    /// From all of a half space, as from a sky or from pale walls.
    Dome {
        /// Its middle, of length 1.
        towards: Vec3,
    },
}

/// A lamp of a scene.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lamp {
    /// Which of the set-up's sources it shines with.
    pub source: usize,
    /// How its light comes.
    pub kind: LampKind,
    /// What a perfect diffuser that faces it, unshaded, sends back: 1 is well exposed white.
    pub level: f64,
}

impl Lamp {
    /// From so far away that it is even, from a direction of any length.
    pub fn far(source: usize, towards: Vec3, wide: f64, level: f64) -> Self {
        Self { source, kind: LampKind::Far { towards: towards.unit(), wide }, level }
    }

    /// From a place.
    pub fn near(source: usize, place: Vec3, wide: f64, level: f64) -> Self {
        Self { source, kind: LampKind::Near { place, wide }, level }
    }

    /// From the half space about a direction of any length.
    pub fn dome(source: usize, towards: Vec3, level: f64) -> Self {
        Self { source, kind: LampKind::Dome { towards: towards.unit() }, level }
    }
}

/// What is seen where no body is: light of a source, `level` beside a perfect diffuser in full light.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Glow {
    /// Which of the set-up's sources.
    pub source: usize,
    /// 1 is well exposed white.
    pub level: f64,
}

/// What is behind all bodies, by the ray and the moment in seconds.
pub type Backdrop = Box<dyn Fn(&Ray, f64) -> Vec<Glow> + Send + Sync>;

/// Bodies, lamps, and what is behind.
pub struct Scene {
    /// The bodies.
    pub shapes: Vec<Box<dyn Shape>>,
    /// The lamps.
    pub lamps: Vec<Lamp>,
    /// What is behind them.
    pub backdrop: Backdrop,
    /// The surface that has glow alone: a perfect diffuser's place in the palette.
    pub white: Material,
    /// How far from a moving body still ones may change with it, in metres: its shadow. At 0 shadows stay as they are.
    pub shadow_reach: f64,
    /// What is known of its still bodies: begins empty.
    pub still: Still,
}

impl Scene {
    /// The boxes of what moves, with their shadows.
    pub(super) fn moving(&self) -> Vec<Bounds> {
        self.shapes.iter().filter(|shape| shape.moves()).map(|shape| self.with_shadow(shape.as_ref())).collect()
    }

    /// The boxes within which still bodies may look another way while the scene moves; none where shadows stay.
    pub(super) fn shaded(&self) -> Vec<Bounds> {
        if self.shadow_reach > 0.0 { self.moving() } else { Vec::new() }
    }

    fn with_shadow(&self, shape: &dyn Shape) -> Bounds {
        let own = shape.bounds();
        let lamps = if shape.shades() { self.lamps.as_slice() } else { &[] };
        let shadows = lamps.iter().filter_map(|lamp| {
            let away = match lamp.kind {
                LampKind::Far { towards, .. } => -towards,
                LampKind::Near { place, .. } => (own.centre() - place).unit(),
                LampKind::Dome { .. } => return None,
            };
            let by = away * self.shadow_reach;
            Some(Bounds { least: own.least + by, most: own.most + by })
        });
        shadows.fold(own, |all, shadow| all.with(&shadow)).grown(0.01)
    }
}
