//! What an operation may ask of the shot it works on.

use std::collections::BTreeMap;
use std::sync::Arc;

use colour::{Encoding, EncodingError};

use crate::Signal;

/// What names in a chain may mean: the user's encodings, then the built-in ones, and the user's LUTs.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Book {
    users: BTreeMap<String, Encoding>,
    luts: BTreeMap<String, Arc<colour::Lut>>,
}

impl Book {
    /// Adds an encoding read from a user's file; a later one of the same name replaces it.
    pub fn add(&mut self, encoding: Encoding) {
        self.users.insert(plain(&encoding.name), encoding);
    }

    /// Finds an encoding by name, ignoring case and punctuation.
    ///
    /// # Errors
    /// An unknown name, with the near ones; an exposure index that the encoding does not have.
    pub fn find(&self, name: &str, exposure_index: Option<u32>) -> Result<Encoding, EncodingError> {
        match self.users.get(&plain(name)) {
            // An encoding file is one curve.
            Some(encoding) if exposure_index.is_some() => {
                Err(EncodingError::NoExposureIndex { name: encoding.name.clone() })
            }
            Some(encoding) => Ok(encoding.clone()),
            None => Encoding::named(name, exposure_index),
        }
    }

    /// Adds a LUT under the name by which a chain speaks of its file; a later one of the same name replaces it.
    pub fn add_lut(&mut self, name: impl Into<String>, lut: colour::Lut) {
        self.luts.insert(name.into(), Arc::new(lut));
    }

    /// The LUT of a name, exactly as typed.
    pub fn lut(&self, name: &str) -> Option<&Arc<colour::Lut>> {
        self.luts.get(name)
    }
}

fn plain(name: &str) -> String {
    name.chars().filter(char::is_ascii_alphanumeric).map(|c| c.to_ascii_lowercase()).collect()
}

/// What elaboration knows where an operation stands.
#[derive(Debug, Clone)]
pub struct Context<'a> {
    /// The shot's own encoding, where one is known.
    pub camera: Option<&'a Encoding>,
    /// The signal of the nearest output-transform upstream.
    pub display: Option<&'a Signal>,
    /// What names mean.
    pub book: &'a Book,
}
