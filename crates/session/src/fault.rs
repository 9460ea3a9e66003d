//! Why a piece of work does not go through, and who is told what meanwhile.

use std::fmt::Display;

/// Why a piece of work does not go through. The message says what is wrong and what to do.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum Fault {
    /// What was asked for cannot be meant.
    #[error("{0}")]
    Asked(String),
    /// It was meant well and went wrong.
    #[error("{0}")]
    Failed(String),
}

impl Fault {
    /// What was asked for cannot be meant.
    pub fn asked(message: impl Display) -> Self {
        Self::Asked(message.to_string())
    }

    /// It was meant well and went wrong.
    pub fn failed(message: impl Display) -> Self {
        Self::Failed(message.to_string())
    }

    /// The same, with the name of what it is about before it.
    #[must_use]
    pub fn of(self, name: &str) -> Self {
        match self {
            Self::Asked(words) => Self::Asked(format!("{name}: {words}")),
            Self::Failed(words) => Self::Failed(format!("{name}: {words}")),
        }
    }
}

impl From<gpu::device::DeviceError> for Fault {
    fn from(error: gpu::device::DeviceError) -> Self {
        Self::failed(error)
    }
}

impl From<gpu::assemble::AssembleError> for Fault {
    fn from(error: gpu::assemble::AssembleError) -> Self {
        Self::failed(error)
    }
}

impl From<media::MediaError> for Fault {
    fn from(error: media::MediaError) -> Self {
        Self::failed(error)
    }
}

/// Takes what the user should know and nothing has gone wrong about: a terminal's, or a window's.
pub type Tell = fn(&str);

/// Follows a render from outside: hears of it, and may end it.
pub trait Follower: Sync {
    /// Something that the user should know.
    fn note(&self, words: &str);

    /// What the chain means and how it runs, where that was asked for.
    fn explained(&self, text: &str) {
        let _ = text;
    }

    /// So many frames of a sequence are about to be rendered.
    fn begins(&self, frames: usize, name: &str) {
        let _ = (frames, name);
    }

    /// A frame has come to its end, well or not.
    fn frame_done(&self, number: i64) {
        let _ = number;
    }

    /// Whether the work shall end; looked at between frames.
    fn stop(&self) -> bool {
        false
    }
}
