//! Where rendered frames go: into files, or before the eyes of whoever judges them as they would be written.

use frame::Frame;
use media::{About, Format, MediaError, OutputPattern, Picture};

use super::timings::Clock;
use crate::paths;

/// Where rendered frames go.
#[derive(Clone, Copy)]
pub enum Sink<'a> {
    /// Into files.
    Files(&'a OutputPattern),
    /// To somebody who looks at each, in any order and on any thread.
    Eyes {
        /// The format whose samples the frames have.
        format: Format,
        /// Who looks.
        look: &'a (dyn Fn(i64, &Picture) + Sync),
    },
}

impl Sink<'_> {
    /// The format that a frame is made for.
    pub fn format(&self) -> Format {
        match self {
            Self::Files(out) => out.format(),
            Self::Eyes { format, .. } => *format,
        }
    }

    /// Where a frame goes, for people.
    pub fn place_of(&self, number: i64) -> String {
        match self {
            Self::Files(out) => paths::shown(&out.path_for(number)),
            Self::Eyes { .. } => format!("frame {number}, not written"),
        }
    }

    /// Takes a frame.
    pub fn take(&self, number: i64, frame: Frame, about: About, clock: &Clock) -> Result<(), MediaError> {
        match self {
            Self::Files(out) => clock.write(&out.path_for(number), &frame, &about),
            Self::Eyes { look, .. } => {
                look(number, &Picture { frame, about });
                Ok(())
            }
        }
    }
}
