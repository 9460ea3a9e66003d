//! Why the demo could not be written.

use std::path::PathBuf;

use colour::EncodingError;
use frame::Size;
use media::MediaError;

/// Why the demo could not be written.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The size is out of bounds.
    #[error("size {width}x{height}: the demo is drawn from 160x90 to 16384x16384; choose a size within")]
    Size {
        /// Width asked for.
        width: u32,
        /// Height asked for.
        height: u32,
    },
    /// The number of frames is out of bounds.
    #[error("frames {frames}: a shot has 1 to 9999 frames; choose a number within")]
    Frames {
        /// Frames asked for.
        frames: u32,
    },
    /// A name that is no shot's.
    #[error("shots: there is no shot '{name}'; near it are {near}")]
    NoShot {
        /// The name.
        name: String,
        /// Names like it.
        near: String,
    },
    /// A shot whose set-up has no such number.
    #[error("shot {shot}: its set-up has no stage for it; this is a fault of the program")]
    NoStage {
        /// The shot.
        shot: &'static str,
    },
    /// A shot whose card covers no whole pixel.
    #[error("shot {shot}: at {size} no pixel shows its grey card alone; choose a larger size of a usual shape")]
    NoCard {
        /// The shot.
        shot: &'static str,
        /// The size.
        size: Size,
    },
    /// A camera's encoding does not exist.
    #[error("shot {shot}: {source}")]
    Encoding {
        /// The shot.
        shot: &'static str,
        /// What is wrong with it.
        source: EncodingError,
    },
    /// The light on a card has no colour temperature.
    #[error("shot {shot}, the light on its card: {reason}")]
    Light {
        /// The shot.
        shot: &'static str,
        /// What is wrong with it.
        reason: String,
    },
    /// A frame could not be written.
    #[error(transparent)]
    Media(#[from] MediaError),
    /// A folder or a text file could not be written.
    #[error("{}: {source}; choose a folder that can be written to and has room", path.display())]
    Io {
        /// What was to be written.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The caller asked to stop.
    #[error("stopped after {done} of {total} frames; what is written so far is whole")]
    Stopped {
        /// Frames written.
        done: usize,
        /// Frames there would have been.
        total: usize,
    },
}
