//! What one render did.

use std::sync::Arc;

use gpu::device::Gpu;
use serde::Serialize;

use super::Job;
use crate::cli::failure::Failure;
use crate::cli::timings::Timings;
use crate::cli::{engine, say};

/// What one render did.
#[derive(Debug, Serialize)]
pub struct Report {
    /// What computed.
    pub executor: String,
    /// How codes were dithered: off, triangular or blue-noise.
    pub dither: &'static str,
    /// Where the frames are.
    pub out: String,
    /// How the frames were brought to a display; none where they were not.
    pub rendering: Option<String>,
    /// The same for people.
    #[serde(skip)]
    pub rendering_in_words: String,
    /// Frames written.
    pub written: usize,
    /// Frames asked for.
    pub wanted: usize,
    /// Whether Ctrl-C ended it.
    pub stopped: bool,
    /// Frames that failed, with why.
    pub failed: Vec<Failed>,
    /// NaN replaced by 0.
    pub nan: u64,
    /// Infinities replaced by the largest half float.
    pub infinite: u64,
    /// How often a lost device was opened again.
    pub device_reopened: u32,
    /// Wall time.
    pub seconds: f64,
    /// Wall time a written frame.
    pub seconds_a_frame: f64,
    /// What each stage costs, where that was asked.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub timings: Option<Timings>,
}

/// A frame that failed.
#[derive(Debug, Serialize)]
pub struct Failed {
    /// Its number.
    pub frame: i64,
    /// Why.
    pub reason: String,
}

impl Report {
    /// A render of which nothing is done yet.
    pub fn begun(job: &Job<'_>, gpu: Option<&Arc<Gpu>>) -> Self {
        Self {
            executor: engine::name(gpu),
            dither: job.dither.map_or("off", frame::Dither::name),
            out: job.sink.place_of(job.sequence.frames().first().map_or(1, |(number, _)| *number)),
            rendering: None,
            rendering_in_words: String::new(),
            written: 0,
            wanted: job.sequence.frames().len(),
            stopped: false,
            failed: Vec::new(),
            nan: 0,
            infinite: 0,
            device_reopened: 0,
            seconds: 0.0,
            seconds_a_frame: 0.0,
            timings: None,
        }
    }

    /// Says what went wrong, if anything did.
    pub fn verdict(&self) -> Result<(), Failure> {
        if self.nan + self.infinite > 0 {
            say::note(&format!(
                "{} NaN and {} infinite values were replaced (by 0 and by +-65504)",
                self.nan, self.infinite
            ));
        }
        if self.device_reopened > 0 {
            say::note(&format!(
                "the graphics device was lost and opened again {} times; no frame was lost",
                self.device_reopened
            ));
        }
        for failed in &self.failed {
            say::error(&format!("frame {}: {}", failed.frame, failed.reason));
        }
        if self.stopped {
            say::error(&format!("stopped after {} of {} frames; what was written is whole", self.written, self.wanted));
        }
        if self.stopped || !self.failed.is_empty() { Err(Failure::said()) } else { Ok(()) }
    }
}
