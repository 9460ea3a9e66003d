//! The three set-ups of the crossing, and what a shot of one needs: bodies, lamps, view, sources, marks.

mod deck;
mod galley;
mod marks;
mod wheelhouse;

use crate::light::Light;
use crate::space::{Vec3, View};
use crate::trace::Scene;

/// A source of light of a set-up.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Source {
    /// What it is, in a word or two.
    pub name: &'static str,
    /// Its spectrum.
    pub light: Light,
    /// What it has turned into in the end, where it drifts.
    pub later: Option<Light>,
    /// Whether the truth is lit by D65 in its place; a signal lamp keeps its colour, as it is seen and not seen by.
    pub relit: bool,
}

/// How strong a source is at a moment, and how far it has drifted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Level {
    /// 1 is full.
    pub level: f64,
    /// 0..1: how far it has gone over to its later light.
    pub gone: f64,
}

impl Level {
    /// Full and not drifted.
    pub const FULL: Self = Self { level: 1.0, gone: 0.0 };
}

/// A place in the picture with a name: a rectangle about a point of a surface, which must lie within that surface alone.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Mark {
    /// Its name, as it stands in the truth and on probes: `grey card`, `light skin, key side`, `patch 07`.
    pub name: &'static str,
    /// The middle.
    pub place: Vec3,
    /// Half its width and height in metres, as seen from the camera.
    pub half: [f64; 2],
    /// What it shows.
    pub kind: MarkKind,
}

/// What a mark shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MarkKind {
    /// An 18 % grey card.
    Card,
    /// A patch of the chart, 0..24.
    Patch(usize),
    /// A dark neutral grey, a few stops under the card.
    DarkGrey,
    /// Skin.
    Skin,
    /// Leaves.
    Foliage,
    /// Any other surface.
    Surface,
}

/// A shot made ready to be traced.
pub struct Stage {
    /// Bodies, lamps and what is behind.
    pub scene: Scene,
    /// Where the camera stands.
    pub view: View,
    /// The sources that lamps and glows name by position; the first is the key, and marks of kind card are in its light.
    pub sources: Vec<Source>,
    /// Each source at a moment in seconds.
    pub levels: fn(f64) -> Vec<Level>,
    /// Named places.
    pub marks: Vec<Mark>,
}

/// The stage of a shot by its name; none for a name that is no shot.
pub fn stage(shot: &str) -> Option<Stage> {
    match shot.split_once('_')? {
        ("deck", number) => deck::stage(number),
        ("galley", number) => galley::stage(number),
        ("wheelhouse", number) => wheelhouse::stage(number),
        _ => None,
    }
}
