//! What each stage of a render costs.
//!
//! Stages overlap: some threads read, one computes, some write. Each is timed on the thread that does it, so the sum may
//! exceed the wall time; the stage with the largest share is the one that the render waits for.

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use frame::Frame;
use gpu::assemble::assemble;
use gpu::device::{Gpu, Job, time};
use media::{About, MediaError, Picture};
use plan::{Level, Plan};
use serde::Serialize;

use super::Bound;
use super::content::Content;

/// How often the device's own clock is asked; the median counts.
const REPEATS: usize = 5;
/// Something to compute on: a middle grey in packed words of 10 bits, and a number in every other layout.
const GREY: u32 = 0x6419_0640;

/// What is timed apart.
#[derive(Debug, Clone, Copy)]
pub enum Stage {
    /// The file's bytes from the disk.
    Read,
    /// The file's bytes to a frame.
    Decode,
    /// The frame to the device, and the work handed over.
    Upload,
    /// Waiting for the device, and the frame back from it; with the proof, the computing.
    Receive,
    /// The frame to a file's bytes.
    Encode,
    /// The bytes on the disk, under their name.
    Write,
    /// The hashes of both files, for the record.
    Hash,
}

/// Adds up the time of each stage, on whatever thread.
#[derive(Debug, Default)]
pub struct Clock {
    nanoseconds: [AtomicU64; 7],
}

/// The cost of a render, a frame.
#[derive(Debug, Serialize)]
pub struct Timings {
    /// The stages in their order.
    pub stages: Vec<Row>,
    /// All stages together, without what is part of another; more than the wall time where stages overlap.
    pub sum: f64,
    /// Wall time.
    pub wall: f64,
}

/// The cost of a stage.
#[derive(Debug, Serialize)]
pub struct Row {
    /// What is done.
    pub stage: &'static str,
    /// Seconds a frame.
    pub seconds: f64,
    /// Of the wall time.
    pub share_of_wall: f64,
    /// The stage whose time this is a part of.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub part_of: Option<&'static str>,
}

const WAIT: &str = "wait and readback";

impl Clock {
    /// Does the work and adds its time to the stage.
    pub fn time<T>(&self, stage: Stage, work: impl FnOnce() -> T) -> T {
        let started = Instant::now();
        let done = work();
        self.add(stage, started.elapsed());
        done
    }

    /// Adds time that was measured elsewhere.
    pub(super) fn add(&self, stage: Stage, took: Duration) {
        let took = u64::try_from(took.as_nanos()).unwrap_or(u64::MAX);
        self.nanoseconds[stage as usize].fetch_add(took, Ordering::Relaxed);
    }

    /// Reads a picture; what the system took to hand out its bytes is reading, the rest decoding.
    pub fn read(&self, path: &Path) -> Result<Picture, MediaError> {
        let started = Instant::now();
        let (picture, reading) = media::read_timed(path);
        self.add(Stage::Read, reading);
        self.add(Stage::Decode, started.elapsed().saturating_sub(reading));
        picture
    }

    /// What an original's file holds; none where it cannot be read, which reading the picture will say better.
    pub fn hash(&self, path: &Path) -> Option<Content> {
        let started = Instant::now();
        let (content, reading) = Content::of_file_timed(path).ok()?;
        self.add(Stage::Read, reading);
        self.add(Stage::Hash, started.elapsed().saturating_sub(reading));
        Some(content)
    }

    /// Writes a frame, and says what the file holds if that is asked for.
    pub fn write(&self, path: &Path, frame: &Frame, about: &About, hash: bool) -> Result<Option<Content>, MediaError> {
        let encoded = self.time(Stage::Encode, || media::encode(path, frame, about))?;
        let holds = hash.then(|| self.time(Stage::Hash, || Content::of_pieces(&encoded.pieces())));
        self.time(Stage::Write, || media::store(path, &encoded))?;
        Ok(holds)
    }

    /// What a frame cost, of so many in so many seconds of wall time; `device` is the time of the passes by the
    /// device's own clock, none where it has no such clock, and with the proof nothing goes to a device at all.
    pub fn timings(&self, frames: usize, wall: f64, has_device: bool, device: Option<f64>) -> Timings {
        let frames = frames.max(1) as f64;
        let wall = wall / frames;
        let row = |stage, seconds: f64, part_of| Row { stage, seconds, share_of_wall: seconds / wall, part_of };
        let of = |name, stage: Stage| {
            row(name, self.nanoseconds[stage as usize].load(Ordering::Relaxed) as f64 * 1e-9 / frames, None)
        };
        let mut stages = vec![of("read", Stage::Read), of("decode", Stage::Decode)];
        if has_device {
            stages.push(of("upload", Stage::Upload));
            stages.extend(device.map(|seconds| row("GPU", seconds, Some(WAIT))));
            stages.push(of(WAIT, Stage::Receive));
        } else {
            stages.push(of("proof", Stage::Receive));
        }
        stages.extend([of("encode", Stage::Encode), of("write", Stage::Write)]);
        // Where there is no record there are no hashes.
        stages.extend(Some(of("hash", Stage::Hash)).filter(|row| row.seconds > 0.0));
        let sum = stages.iter().filter(|row| row.part_of.is_none()).map(|row| row.seconds).sum();
        Timings { stages, sum, wall }
    }
}

/// Seconds that the passes of a chain take on a frame, by the device's own clock; none where it has none.
pub fn device_seconds(gpu: &Arc<Gpu>, bound: &Bound) -> Option<f64> {
    let Bound { elaborated, edges: [source, result], size, .. } = bound;
    let plan = Plan::new(elaborated, Level::Full);
    let program = assemble(&plan, *source, *result).ok()?;
    let pixels = size.pixels() as u64;
    let grey = vec![GREY; size.pixels()];
    let timings = time(gpu, &[Job::Program(&program)], pixels, 1, REPEATS, &grey).ok()?;
    timings.first().map(gpu::device::Timing::median)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn clock(milliseconds: [u64; 7]) -> Clock {
        Clock { nanoseconds: milliseconds.map(|time| AtomicU64::new(time * 1_000_000)) }
    }

    #[test]
    fn a_part_is_not_counted_twice() {
        let timings = clock([2, 4, 6, 8, 16, 4, 2]).timings(2, 0.025, true, Some(0.003));
        let names: Vec<&str> = timings.stages.iter().map(|row| row.stage).collect();
        assert_eq!(names, ["read", "decode", "upload", "GPU", WAIT, "encode", "write", "hash"]);
        // 1 + 2 + 3 + 4 + 8 + 2 + 1 ms a frame; the bound is that of adding a few doubles.
        assert!((timings.sum - 0.021).abs() < 1e-12, "{}", timings.sum);
        assert!((timings.wall - 0.0125).abs() < 1e-12, "{}", timings.wall);
        assert!((timings.stages[5].share_of_wall - 0.64).abs() < 1e-9);
        assert!((timings.sum / timings.wall - 1.68).abs() < 1e-9);
    }

    #[test]
    fn the_proof_has_no_device() {
        let timings = clock([0, 1, 0, 5, 1, 0, 0]).timings(1, 1.0, false, None);
        let names: Vec<&str> = timings.stages.iter().map(|row| row.stage).collect();
        assert_eq!(names, ["read", "decode", "proof", "encode", "write"]);
    }

    #[test]
    fn work_is_added_to_its_stage() {
        let clock = Clock::default();
        let pause = Duration::from_millis(5);
        clock.time(Stage::Encode, || std::thread::sleep(pause));
        clock.time(Stage::Encode, || std::thread::sleep(pause));
        let timings = clock.timings(1, 1.0, true, None);
        // A pause is never shorter than asked for.
        assert!(timings.stages.iter().any(|row| row.stage == "encode" && row.seconds >= 0.010));
        assert!(timings.stages[0].seconds == 0.0);
    }
}
