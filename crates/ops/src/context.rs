//! What an operation may ask of the shot it works on.

use std::collections::BTreeMap;

use colour::{Encoding, EncodingError};

use crate::Signal;

/// The encodings a name may mean: the user's encoding files first, then the built-in ones.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct EncodingBook {
    users: BTreeMap<String, Encoding>,
}

impl EncodingBook {
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
    /// Names of encodings.
    pub book: &'a EncodingBook,
}
