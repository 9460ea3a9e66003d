//! The project file: TOML that a person reads and compares line by line.
//!
//! ```toml
//! schema_version = 2
//!
//! [kit.exposure]
//! operation = "exposure"
//! version = 1
//! stops = 0.5
//!
//! [candidates]
//! plain = [
//!     "input-transform",
//!     "exposure",
//! ]
//! ```
//!
//! The order is fixed, each line says one thing, and what is at its default is left out. Every member names the
//! version of its operation's maths, so that a program that has other maths says so instead of showing another
//! picture. Comments are a person's own; saving does not keep them, notes it does.

mod blame;
pub(crate) mod fault;
mod kit;
mod plain;
mod read;
pub(crate) mod section;
mod shots;
mod write;

pub use fault::FileError;
pub use read::{read, read_with_notes};
pub use write::write;

use graph::Document;

/// What a project file holds.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Written {
    /// Kit, candidates, numbers, set-ups and shots.
    pub document: Document,
    /// Encoding files, relative to the project's folder where they lie near it. Their names then mean encodings.
    pub encoding_files: Vec<String>,
}
