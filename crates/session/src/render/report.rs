//! What one render did.

use std::sync::Arc;

use gpu::device::Gpu;
use serde::Serialize;

use super::Job;
use super::resume::Found;
use super::timings::Timings;
use crate::engine;

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
    /// What a resume found; none where all is made anew.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub found: Option<Found>,
    /// Whether it ended before every frame was tried: it was told to, no frame can be written, or one is unlike the others.
    pub stopped: bool,
    /// Frames that failed, with why.
    pub failed: Vec<Failed>,
    /// NaN replaced by 0.
    pub nan: u64,
    /// Infinities replaced by the largest half float.
    pub infinite: u64,
    /// How often a lost device was opened again.
    pub device_reopened: u32,
    /// Bytes of memory that pictures might take.
    pub memory_bytes: u64,
    /// The most that they took: those read ahead, and those computed or waiting to be written.
    pub peak_bytes: u64,
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
    /// Frames that were there already.
    pub fn kept(&self) -> usize {
        self.found.as_ref().map_or(0, |found| found.kept)
    }

    /// A render of which nothing is done yet.
    pub fn begun(job: &Job<'_>, gpu: Option<&Arc<Gpu>>) -> Self {
        Self {
            executor: engine::name(gpu),
            dither: job.dither.map_or("off", frame::Dither::name),
            out: job.sink.place_of(job.sequence.frames().first().map_or(1, |(number, _)| *number)),
            rendering: None,
            rendering_in_words: String::new(),
            written: 0,
            wanted: job.sequence.frames().len() + job.found.as_ref().map_or(0, |found| found.kept),
            found: job.found.clone(),
            stopped: false,
            failed: Vec::new(),
            nan: 0,
            infinite: 0,
            device_reopened: 0,
            memory_bytes: job.memory_bytes,
            peak_bytes: 0,
            seconds: 0.0,
            seconds_a_frame: 0.0,
            timings: None,
        }
    }
}
