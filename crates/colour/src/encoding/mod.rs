//! Encodings: primaries, white, transfer and reference together, which is what a file's numbers mean.

mod built_in;
mod file;

use crate::{Adaptation, Matrix, Primaries, Transfer, names, primaries};
use thiserror::Error;

/// What the linear numbers of an encoding measure.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Reference {
    /// Light in front of the camera: 0.18 is the grey card.
    Scene,
    /// Light of a display.
    Display,
}

/// An encoding.
#[derive(Clone, PartialEq, Debug)]
pub struct Encoding {
    /// Its id, or the name that its encoding file gives.
    pub name: String,
    /// Primaries and white of the linear numbers.
    pub primaries: Primaries,
    /// Between code and linear.
    pub transfer: Transfer,
    /// Scene or display.
    pub reference: Reference,
    /// How its white is taken to the ACES white.
    pub adaptation: Adaptation,
    /// The exposure index, where the transfer depends on one.
    pub exposure_index: Option<u32>,
}

/// Why there is no such encoding.
#[derive(Clone, PartialEq, Debug, Error)]
pub enum EncodingError {
    /// No encoding of that name.
    #[error("unknown encoding '{name}'; near names: {near}")]
    Unknown {
        /// The name that was asked for.
        name: String,
        /// Known names near it.
        near: String,
    },
    /// The encoding has no curve for that exposure index.
    #[error("{name} has no curve for exposure index {exposure_index}; give one of {known}")]
    ExposureIndex {
        /// The encoding.
        name: String,
        /// The index that was asked for.
        exposure_index: u32,
        /// The indices that the encoding has.
        known: String,
    },
    /// An exposure index for an encoding that has none.
    #[error("{name} does not depend on the exposure index; leave 'ei' out")]
    NoExposureIndex {
        /// The encoding.
        name: String,
    },
    /// The encoding file is not the TOML it should be.
    #[error("{file}: {problem}")]
    File {
        /// The file as the caller named it.
        file: String,
        /// What is wrong, where, and what would be right.
        problem: String,
    },
    /// A field of the encoding file is wrong.
    #[error("{file}: field '{field}': {problem}")]
    Field {
        /// The file as the caller named it.
        file: String,
        /// The field.
        field: String,
        /// What is wrong and what would be right.
        problem: String,
    },
}

impl Encoding {
    /// The built-in encoding of that id; case and punctuation do not matter. LogC3 without an exposure index is
    /// at 800.
    ///
    /// # Errors
    /// An unknown name (the near ones are listed), an index that LogC3 has no curve for (its indices are listed),
    /// or an index for an encoding without one.
    pub fn named(name: &str, exposure_index: Option<u32>) -> Result<Encoding, EncodingError> {
        built_in::find(name, exposure_index)
    }

    /// The encoding that an encoding file describes. `file` is only named in errors.
    ///
    /// # Errors
    /// Unknown, missing or unsound fields; the message names file, field and remedy.
    pub fn from_toml(text: &str, file: &str) -> Result<Encoding, EncodingError> {
        file::parse(text, file)
    }

    /// The ids of the built-in encodings, in the order in which they are listed to the user.
    pub fn ids() -> &'static [&'static str] {
        built_in::IDS
    }

    /// Linear RGB of this encoding to linear AP1, its white adapted to the ACES white.
    pub fn aces_from_rgb(&self) -> Matrix {
        Primaries::rgb_from_rgb(&primaries::AP1, &self.primaries, self.adaptation)
    }

    /// The same encoding on other primaries.
    pub fn with_primaries(self, primaries: Primaries) -> Encoding {
        Encoding { primaries, ..self }
    }

    /// Whether `id` is this encoding's name, but for case and punctuation.
    pub fn is(&self, id: &str) -> bool {
        names::same(&self.name, id)
    }
}

#[cfg(test)]
mod tests;
