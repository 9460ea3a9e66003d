//! Where rendered frames go: into files, or before the eyes of whoever judges them as they would be written.

use frame::Frame;
use media::{About, Format, MediaError, OutputPattern, Picture};

use super::content::Content;
use super::record::{Fact, Record};
use super::timings::Clock;
use crate::{Follower, paths};

/// A frame to be written.
pub struct Rendered {
    /// Its number.
    pub number: i64,
    /// Its pixels.
    pub frame: Frame,
    /// What its file is to say.
    pub about: About,
    /// What it was made of, where that is stated.
    pub origin: Option<Origin>,
    /// Bytes of memory that it and its original took, to be given back once it is written.
    pub bytes: u64,
}

/// What a frame was made with and of what.
#[derive(Debug, Clone, Copy)]
pub struct Origin {
    /// What the job meant for it.
    pub made_with: Content,
    /// What its original's file held.
    pub original: Content,
}

/// Where rendered frames go.
#[derive(Clone, Copy)]
pub enum Sink<'a> {
    /// Into files.
    Files {
        /// Their names.
        out: &'a OutputPattern,
        /// Where it is stated what they were made of, if anywhere.
        record: Option<&'a Record>,
    },
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
            Self::Files { out, .. } => out.format(),
            Self::Eyes { format, .. } => *format,
        }
    }

    /// Where a frame goes, for people.
    pub fn place_of(&self, number: i64) -> String {
        match self {
            Self::Files { out, .. } => paths::shown(&out.path_for(number)),
            Self::Eyes { .. } => format!("frame {number}, not written"),
        }
    }

    /// Whether it is stated what frames are made of.
    pub fn records(&self) -> bool {
        matches!(self, Self::Files { record: Some(_), .. })
    }

    /// Takes a frame; `origin` is what it was made with and of what, where that is stated.
    pub fn take(&self, rendered: Rendered, clock: &Clock, follower: &dyn Follower) -> Result<(), MediaError> {
        let Rendered { number, frame, about, origin, .. } = rendered;
        match self {
            Self::Files { out, record } => {
                let path = out.path_for(number);
                let holds = clock.write(&path, &frame, &about, record.is_some())?;
                if let (Some(record), Some(Origin { made_with, original }), Some(holds)) = (record, origin, holds)
                    && let Err(error) = record.state(&path, Fact { made_with, original, holds })
                {
                    // The frame is whole all the same.
                    let folder = out.folder().display();
                    follower.note(&format!(
                        "{folder}: no record of what is rendered ({error}); --resume will make it anew"
                    ));
                }
            }
            Self::Eyes { look, .. } => look(number, &Picture { frame, about }),
        }
        Ok(())
    }

    /// Whether what kept one frame from being written keeps every other one too.
    pub fn is_closed(&self, error: &MediaError) -> bool {
        match self {
            Self::Files { out, .. } => matches!(error, MediaError::DiskFull { .. }) || out.prepare().is_err(),
            Self::Eyes { .. } => false,
        }
    }
}
