//! The two cameras: what they see by, and what they write.

use colour::{Encoding, EncodingError};

use crate::light::Light;
use crate::lighting::camera_palette;

/// A camera.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Camera {
    /// Sees as the CIE 1931 observer does.
    Main,
    /// Has curves of its own, which no matrix makes those of the observer.
    Second,
}

impl Camera {
    /// One line on how it sees.
    pub fn description(self) -> &'static str {
        match self {
            Self::Main => "main camera, sees as the CIE 1931 observer",
            Self::Second => "second camera, three sensitivity curves of its own and the matrix that suits the chart under D65",
        }
    }

    /// Id of the encoding of its files.
    pub fn encoding_id(self) -> &'static str {
        match self {
            Self::Main => "LogC3",
            Self::Second => "S-Log3-Cine",
        }
    }

    /// The exposure index that it is set to, where its encoding depends on it.
    pub fn exposure_index(self) -> Option<u32> {
        match self {
            Self::Main => Some(800),
            Self::Second => None,
        }
    }

    /// The encoding of its files.
    ///
    /// # Errors
    /// None for the encodings that are built in.
    pub fn encoding(self) -> Result<Encoding, EncodingError> {
        Encoding::named(self.encoding_id(), self.exposure_index())
    }

    /// Linear camera RGB of every material under a light of which a perfect diffuser sends back luminance 1.
    pub(crate) fn palette(self, encoding: &Encoding, light: Light) -> Vec<[f64; 3]> {
        camera_palette(encoding, light, 0.0)
    }
}
