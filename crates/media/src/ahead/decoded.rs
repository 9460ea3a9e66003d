//! A picture as it is kept and handed out, and what reading it took.

use std::path::Path;
use std::sync::Arc;
use std::time::{Duration, Instant};

use frame::{Frame, NonFinite};

use crate::{About, MediaError, Picture};

/// What reads a file: the picture, and how long the system took to hand out the file's bytes. [`crate::read_timed`] is
/// one.
pub type Reader = dyn Fn(&Path) -> (Result<Picture, MediaError>, Duration) + Send + Sync;

/// What a frame took on the thread that read it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Spent {
    /// Waiting for the file's bytes.
    pub reading: Duration,
    /// From the bytes to a frame in which every sample is finite.
    pub decoding: Duration,
}

/// A picture in memory. A clone shares the pixels.
#[derive(Debug, Clone)]
pub struct Decoded {
    /// The pixels, every sample finite. As long as somebody has a clone of this, the frame is in use: it counts in full
    /// and is not let go.
    pub frame: Arc<Frame>,
    /// What the file says beside them.
    pub about: Arc<About>,
    /// How many samples were not finite and were replaced.
    pub replaced: NonFinite,
    /// What it took.
    pub spent: Spent,
}

impl Decoded {
    /// Bytes of memory that the pixels take.
    pub(super) fn bytes(&self) -> u64 {
        self.frame.held_bytes() as u64
    }

    /// Whether somebody besides the cache has the pixels.
    pub(super) fn is_in_use(&self) -> bool {
        Arc::strong_count(&self.frame) > 1
    }

    /// The picture as one that can be changed; copies the pixels only where they are in use elsewhere.
    pub(super) fn into_picture(self) -> Picture {
        Picture { frame: Arc::unwrap_or_clone(self.frame), about: Arc::unwrap_or_clone(self.about) }
    }
}

/// A frame that could not be read.
#[derive(Debug, Clone)]
pub(super) struct Failure {
    pub error: Arc<MediaError>,
    pub spent: Spent,
}

/// Reads a file and makes its samples finite.
pub(super) fn decode(reader: &Reader, path: &Path) -> Result<Decoded, Failure> {
    let started = Instant::now();
    let (picture, reading) = reader(path);
    let picture = picture.map(|mut picture| {
        let replaced = picture.frame.replace_non_finite();
        (picture, replaced)
    });
    let spent = Spent { reading, decoding: started.elapsed().saturating_sub(reading) };
    match picture {
        Ok((Picture { frame, about }, replaced)) => {
            Ok(Decoded { frame: Arc::new(frame), about: Arc::new(about), replaced, spent })
        }
        Err(error) => Err(Failure { error: Arc::new(error), spent }),
    }
}
