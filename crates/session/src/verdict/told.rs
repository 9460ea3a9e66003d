//! What the user says of a frame.

use std::fmt;
use std::path::PathBuf;

use measure::confidence::Declared;

/// An area that was marked in the original.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Marked {
    /// What it is called where something is wrong with it: an option, a probe.
    pub called: String,
    /// Left, top, width, height in pixels.
    pub area: [u32; 4],
}

impl Marked {
    /// An area by what it is called.
    pub fn new(called: impl Into<String>, area: [u32; 4]) -> Self {
        Self { called: called.into(), area }
    }
}

impl fmt::Display for Marked {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [x, y, width, height] = self.area;
        write!(f, "{} {x},{y},{width},{height}", self.called)
    }
}

/// What the user says of a frame: where grey is, and what else is known.
#[derive(Debug, Clone, Default)]
pub struct Told {
    /// An 18 % grey card.
    pub grey: Option<Marked>,
    /// A 24-patch chart, upright; in place of a card and of a truth.
    pub chart: Option<Marked>,
    /// What is declared of the card.
    pub declared: Declared,
    /// The truth: a demo's truth.json, or a picture.
    pub truth: Option<PathBuf>,
    /// Surfaces whose hues are to stay apart, by name.
    pub surfaces: Vec<(String, Marked)>,
    /// Dark places known to be neutral.
    pub neutrals: Vec<Marked>,
    /// Where shadow noise is measured.
    pub shadow: Option<Marked>,
    /// How grey is made known where it is not, as an instruction.
    pub remedy: &'static str,
}
