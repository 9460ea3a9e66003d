//! The shots of the crossing, as they were taken.

use colour::{Encoding, EncodingError};

use super::noise::Noise;
use crate::camera::Camera;

/// A shot: which camera took it, and how well.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// Set-up and number, as on the slate; the name that [`crate::set_up::stage`] knows it by.
    pub name: &'static str,
    /// The camera.
    pub camera: Camera,
    /// Stops by which it is over (plus) or under (minus) at its first frame.
    pub exposure_error_stops: f64,
    /// Bits of its DPX files.
    pub bits: u8,
    /// A veil over the whole picture, in the key's own colour: its share of a well exposed white.
    pub veil: f64,
    /// Deviation of its noise, beside that of a frame at the camera's usual setting.
    pub noise: f64,
}

/// A shot of the main camera without a veil, in 10 bits.
const fn plain(name: &'static str, exposure_error_stops: f64) -> Shot {
    Shot { name, camera: Camera::Main, exposure_error_stops, bits: 10, veil: 0.0, noise: 1.0 }
}

/// Haze on deck and on the lens.
const HAZE: f64 = 0.003;

/// The shots of the demo, in order.
pub const SHOTS: [Shot; 8] = [
    Shot { veil: HAZE, ..plain("deck_010", -1.0) },
    Shot { veil: HAZE, bits: 8, noise: 1.4, ..plain("deck_020", -1.7) },
    Shot { veil: HAZE, ..plain("deck_030", 0.0) },
    plain("galley_010", 0.0),
    Shot { camera: Camera::Second, ..plain("galley_010b", 0.3) },
    plain("galley_020", 0.0),
    plain("wheelhouse_010", 0.5),
    plain("wheelhouse_020", -0.4),
];

impl Shot {
    /// The shot of a name, with its place among [`SHOTS`].
    pub fn named(name: &str) -> Option<(usize, &'static Shot)> {
        SHOTS.iter().enumerate().find(|(_, shot)| shot.name == name)
    }

    /// The set-up that it belongs to.
    pub fn set_up(&self) -> &'static str {
        self.name.split_once('_').map_or(self.name, |(set_up, _)| set_up)
    }

    /// Id of the encoding of its files.
    pub fn encoding_id(&self) -> &'static str {
        match self.camera {
            Camera::Main => "LogC3",
            Camera::Second => "S-Log3-Cine",
        }
    }

    /// The exposure index that its camera is set to, where the encoding depends on it.
    pub fn exposure_index(&self) -> Option<u32> {
        match self.camera {
            Camera::Main => Some(800),
            Camera::Second => None,
        }
    }

    /// The encoding of its files.
    ///
    /// # Errors
    /// None for the encodings that are built in.
    pub fn encoding(&self) -> Result<Encoding, EncodingError> {
        Encoding::named(self.encoding_id(), self.exposure_index())
    }

    /// Its noise in one frame, counted from 0.
    pub(crate) fn noise(&self, seed: u64, frame: u32) -> Noise {
        let place = SHOTS.iter().position(|other| other.name == self.name).unwrap_or_default();
        Noise::new(seed, place as u64, u64::from(frame), self.noise)
    }
}
