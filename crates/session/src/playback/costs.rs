//! What each stage of playing costs, and which one is the limit.

use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, Instant};

use serde::Serialize;

use super::{Pace, Share, Tally};

/// What is timed apart.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Stage {
    /// A file's bytes from the disk; on several threads.
    Read,
    /// The bytes to a frame; on several threads.
    Decode,
    /// The pixels of a smaller picture.
    Pick,
    /// The frame to the device.
    Upload,
    /// The work handed over to the device.
    Draw,
    /// Waiting for the device, and for the picture from it where it is fetched; with the proof, the computing.
    Wait,
    /// Waiting for a frame that is not decoded yet.
    Starved,
}

const STAGES: usize = 7;

/// Adds up time and count of each stage, on whatever thread.
#[derive(Debug, Default)]
pub struct Costs {
    nanoseconds: [AtomicU64; STAGES],
    counts: [AtomicU64; STAGES],
    /// Pixels that were computed, in sixty-fourths of whole frames.
    sixty_fourths: AtomicU64,
    /// Of the last file.
    last_read: AtomicU64,
}

/// The cost of a stage.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct Row {
    /// What is done.
    pub stage: &'static str,
    /// Seconds each time.
    pub seconds: f64,
    /// How often, for the frames that were played.
    pub frames: u64,
    /// How many of it run at once.
    pub at_once: usize,
    /// Of the wall time of those, for how much it ran.
    pub busy: f64,
}

/// How and how long was played.
#[derive(Debug, Clone, Copy)]
pub struct Played<'a> {
    /// By what.
    pub pace: Pace,
    /// What became of the frames.
    pub tally: &'a Tally,
    /// Wall time in seconds.
    pub seconds: f64,
    /// Threads that read.
    pub threads: usize,
    /// Whether there is a device.
    pub has_device: bool,
    /// Whether pictures are fetched from it.
    pub fetched: bool,
    /// Seconds a whole frame takes by the device's own clock, where it has one.
    pub device: Option<f64>,
}

/// A dropped share that is no sign of a limit: the first frame may come late.
const NONE_TO_SPEAK_OF: f64 = 0.01;
/// A share of the wall time that frames are waited for and which says that reading is the limit.
const STARVING: f64 = 0.25;

impl Costs {
    /// Does the work and adds its time to the stage.
    pub fn time<T>(&self, stage: Stage, work: impl FnOnce() -> T) -> T {
        let started = Instant::now();
        let done = work();
        self.add(stage, started.elapsed());
        done
    }

    /// Adds a time to the stage.
    pub fn add(&self, stage: Stage, took: Duration) {
        let took = u64::try_from(took.as_nanos()).unwrap_or(u64::MAX);
        self.nanoseconds[stage as usize].fetch_add(took, Ordering::Relaxed);
        self.counts[stage as usize].fetch_add(1, Ordering::Relaxed);
    }

    /// A frame of this share is computed.
    pub fn add_frame(&self, share: Share) {
        let block = u64::from(share.pixels());
        self.sixty_fourths.fetch_add(64 / (block * block), Ordering::Relaxed);
    }

    /// How long the device computed, if a whole frame takes it so many seconds.
    fn device(&self, played: &Played<'_>) -> f64 {
        played.device.unwrap_or(0.0) * self.sixty_fourths.load(Ordering::Relaxed) as f64 / 64.0
    }

    /// Adds what a file took.
    pub fn add_file(&self, reading: Duration, decoding: Duration) {
        self.add(Stage::Read, reading);
        self.add(Stage::Decode, decoding);
        let whole = u64::try_from((reading + decoding).as_nanos()).unwrap_or(u64::MAX);
        self.last_read.store(whole, Ordering::Relaxed);
    }

    /// What the last file took.
    pub fn last_read(&self) -> Duration {
        Duration::from_nanos(self.last_read.load(Ordering::Relaxed))
    }

    /// Forgets all but what the last file took.
    pub fn begin_anew(&self) {
        for counter in self.nanoseconds.iter().chain(&self.counts).chain([&self.sixty_fourths]) {
            counter.store(0, Ordering::Relaxed);
        }
    }

    fn seconds(&self, stage: Stage) -> f64 {
        self.nanoseconds[stage as usize].load(Ordering::Relaxed) as f64 * 1e-9
    }

    fn count(&self, stage: Stage) -> u64 {
        self.counts[stage as usize].load(Ordering::Relaxed)
    }

    /// The stages that ran at all, in their order.
    pub fn rows(&self, played: &Played<'_>) -> Vec<Row> {
        let wall = played.seconds.max(1e-9);
        let row = |(name, stage, at_once): (&'static str, Stage, usize)| {
            let (whole, frames) = (self.seconds(stage), self.count(stage));
            let busy = whole / (wall * at_once as f64);
            (frames > 0).then(|| Row { stage: name, seconds: whole / frames as f64, frames, at_once, busy })
        };
        let wait = match (played.has_device, played.fetched) {
            (false, _) => "proof",
            (true, false) => "wait for the device",
            (true, true) => "wait and readback",
        };
        let mut rows: Vec<Row> = [
            ("read", Stage::Read, played.threads),
            ("decode", Stage::Decode, played.threads),
            ("pick", Stage::Pick, 1),
            ("upload", Stage::Upload, 1),
            ("hand over", Stage::Draw, 1),
            (wait, Stage::Wait, 1),
        ]
        .into_iter()
        .filter_map(row)
        .collect();
        if let Some(seconds) = played.device {
            let (frames, busy) = (self.count(Stage::Wait), self.device(played) / wall);
            rows.push(Row { stage: "GPU, a whole frame", seconds, frames, at_once: 1, busy });
        }
        rows
    }

    /// Which stage keeps more frames from being shown, in words.
    pub fn limit(&self, played: &Played<'_>) -> &'static str {
        let tally = played.tally;
        if played.pace == Pace::Clock && tally.dropped as f64 <= NONE_TO_SPEAK_OF * tally.due() as f64 {
            return "the rate: no stage falls behind";
        }
        let wall = played.seconds.max(1e-9);
        if self.seconds(Stage::Starved) > STARVING * wall {
            let (read, decode) = (self.seconds(Stage::Read), self.seconds(Stage::Decode));
            return if read >= decode { "reading the files" } else { "decoding the files" };
        }
        if !played.has_device {
            return "computing, by the proof";
        }
        let [pick, upload, draw, wait] =
            [Stage::Pick, Stage::Upload, Stage::Draw, Stage::Wait].map(|stage| self.seconds(stage));
        // An adapter that shares memory may take a frame or a piece of work only when it has done the one before, so the
        // device's own clock is asked before the stages that hand something over.
        if self.device(played) * 2.0 >= upload + draw + wait {
            return "computing, on the device";
        }
        let while_waiting = match (played.device, played.fetched) {
            (None, _) => "computing, on the device",
            (_, true) => "readback: fetching pictures from the device",
            (_, false) => "transfer: frames on their way to the device",
        };
        [
            (pick, "picking the pixels of smaller pictures"),
            (upload, "upload: copying frames to the device"),
            (draw, "handing work over to the device"),
            (wait, while_waiting),
        ]
        .into_iter()
        .max_by(|(one, _), (other, _)| one.total_cmp(other))
        .map_or("nothing", |(_, words)| words)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn costs(milliseconds: [u64; STAGES], frames: u64) -> Costs {
        Costs {
            nanoseconds: milliseconds.map(|time| AtomicU64::new(time * frames * 1_000_000)),
            counts: [(); STAGES].map(|()| AtomicU64::new(frames)),
            sixty_fourths: AtomicU64::new(64 * frames),
            last_read: AtomicU64::new(0),
        }
    }

    /// A hundred frames in a second; each stage of each frame took so many milliseconds.
    fn limit(milliseconds: [u64; STAGES], device: Option<f64>, fetched: bool) -> &'static str {
        let tally = Tally { shown: 100, ..Tally::default() };
        let played =
            Played { pace: Pace::Most, tally: &tally, seconds: 1.0, threads: 4, has_device: true, fetched, device };
        costs(milliseconds, 100).limit(&played)
    }

    #[test]
    fn the_limit_is_named() {
        assert_eq!(limit([30, 6, 0, 2, 0, 1, 7], Some(1e-3), false), "reading the files");
        assert_eq!(limit([3, 36, 0, 2, 0, 1, 7], Some(1e-3), false), "decoding the files");
        assert_eq!(limit([9, 6, 0, 7, 0, 2, 0], Some(1e-3), false), "upload: copying frames to the device");
        assert_eq!(limit([9, 6, 0, 2, 0, 7, 0], Some(6e-3), false), "computing, on the device");
        assert_eq!(limit([9, 6, 0, 7, 0, 2, 0], Some(9e-3), false), "computing, on the device");
        assert_eq!(limit([9, 6, 0, 2, 0, 7, 0], None, false), "computing, on the device");
        assert_eq!(limit([9, 6, 0, 2, 0, 7, 0], Some(1e-3), true), "readback: fetching pictures from the device");
        assert_eq!(limit([9, 6, 0, 2, 0, 7, 0], Some(1e-3), false), "transfer: frames on their way to the device");
    }

    #[test]
    fn at_a_rate_that_is_kept_nothing_is_the_limit() {
        let kept = Tally { shown: 99, dropped: 1, ..Tally::default() };
        let fallen = Tally { dropped: 20, ..kept.clone() };
        let played = |tally| Played {
            pace: Pace::Clock,
            tally,
            seconds: 1.0,
            threads: 2,
            has_device: false,
            fetched: false,
            device: None,
        };
        let costs = costs([1, 1, 0, 0, 0, 9, 0], 100);
        assert_eq!(costs.limit(&played(&kept)), "the rate: no stage falls behind");
        assert_eq!(costs.limit(&played(&fallen)), "computing, by the proof");
        let rows = costs.rows(&played(&fallen));
        let read = rows.iter().find(|row| row.stage == "read").unwrap();
        // A hundred milliseconds in a second, on two threads.
        assert!((read.seconds - 1e-3).abs() < 1e-12 && (read.busy - 0.05).abs() < 1e-12, "{read:?}");
    }
}
