//! CLF: a chain of simple nodes that other tools run, as XML.
//!
//! A [`ProcessList`] is what a candidate becomes ([`of_candidate`]), what is written ([`write`]) and read back ([`read`]), and
//! what [`ProcessList::pixel`] evaluates in f64. Of the standard it has the nodes that candidates need, all in 32-bit float;
//! the reader takes what the writer writes and says so of the rest.
//!
//! # Source
//! Academy S-2014-006, Common LUT Format, version 3.0 (SMPTE ST 2136-1).

mod curves;
mod grid;
mod half_table;
mod of_candidate;
mod pieces;
mod read;
mod write;

use std::sync::Arc;

use colour::lut::Interpolation;
use colour::{Affine, Lut};
use ops::{Cdl, Eval, Pointwise as _, Signal};

pub use curves::{Exponent, Law, Log, Range};
pub use half_table::HalfTable;
pub use of_candidate::{CandidateError, GRID, of_candidate};
pub use read::read;
pub use write::{WriteError, write};

/// The release that is written.
const RELEASE: &str = "3.0";
/// Entries an edge that a 3D table of a file may have.
const LARGEST_GRID: usize = 128;

/// Numbers of light to code, or back.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Way {
    /// Light to code in a log, code to light in a power: the style's own direction.
    Forward,
    /// The other one.
    Back,
}

/// One step of a file. Pixels are red, green and blue; the whole real line unless a table holds it to its ends.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// A matrix and an offset.
    Matrix(Affine),
    /// A line through two points, held between them or not.
    Range(Range),
    /// A camera's logarithm: `cameraLinToLog`, or back.
    Log(Log, Way),
    /// A mirrored power: of code to light, or back.
    Exponent(Exponent, Way),
    /// A table over the domain 0 to 1: `LUT1D` or `LUT3D` by its kind, the interpolation that of a 3D one.
    Table(Arc<Lut>, Interpolation),
    /// A table with an entry for every half float.
    HalfTable(Arc<HalfTable>),
    /// Slope, offset, power and saturation.
    Cdl(Cdl),
}

impl Node {
    /// Ready to run.
    fn eval(&self) -> Eval {
        match self.clone() {
            Self::Matrix(affine) => Box::new(move |rgb| affine.apply(rgb)),
            Self::Range(range) => Box::new(move |rgb| rgb.map(|v| range.at(v))),
            Self::Log(log, Way::Forward) => Box::new(move |rgb| rgb.map(|v| log.code_from_linear(v))),
            Self::Log(log, Way::Back) => Box::new(move |rgb| rgb.map(|v| log.linear_from_code(v))),
            Self::Exponent(exponent, Way::Forward) => Box::new(move |rgb| rgb.map(|v| exponent.forward(v))),
            Self::Exponent(exponent, Way::Back) => Box::new(move |rgb| rgb.map(|v| exponent.back(v))),
            Self::Table(lut, interpolation) => Box::new(move |rgb| lut.look_up(interpolation, rgb)),
            Self::HalfTable(table) => Box::new(move |rgb| table.look_up(rgb)),
            // The maths of the list is the same whatever the numbers are.
            Self::Cdl(cdl) => cdl.eval(&Signal::log()),
        }
    }
}

/// A file.
#[derive(Debug, Clone, PartialEq)]
pub struct ProcessList {
    /// Its name among files; must not be empty.
    pub id: String,
    /// Words on it.
    pub descriptions: Vec<String>,
    /// What enters.
    pub input: Option<String>,
    /// What leaves.
    pub output: Option<String>,
    /// Its steps, one at least.
    pub nodes: Vec<Node>,
}

impl ProcessList {
    /// The file as a function of a pixel, in f64.
    pub fn pixel(&self) -> Eval {
        let steps: Vec<Eval> = self.nodes.iter().map(Node::eval).collect();
        Box::new(move |rgb| steps.iter().fold(rgb, |rgb, step| step(rgb)))
    }
}

#[cfg(test)]
mod tests;
