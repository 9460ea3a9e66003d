//! What came of playing, for people and for programs.

use serde::Serialize;
use session::playback::{Change, Computing, Costs, Pace, Played, Rate, Row, Tally};

use super::counter::Failed;
use crate::cli::bytes;
use crate::cli::say;

/// What was played, how and for how long.
pub struct Run<'a> {
    /// The sequence's name.
    pub name: &'a str,
    /// The chain's.
    pub title: &'a str,
    /// Frames of the sequence.
    pub frames: usize,
    /// What computed.
    pub executor: String,
    /// Whether that is a device.
    pub has_device: bool,
    /// Whether pictures were fetched from it.
    pub fetched: bool,
    /// Frames a second.
    pub rate: Rate,
    /// By the clock or as fast as it went.
    pub pace: Pace,
    /// Threads that read.
    pub threads: usize,
    /// Pixels of a whole frame.
    pub pixels: usize,
    /// Wall time.
    pub seconds: f64,
    /// What became of the frames.
    pub tally: Tally,
    /// Most bytes of decoded frames.
    pub peak_bytes: u64,
    /// Most that they might have.
    pub memory: u64,
    /// Most that frames might take on the device.
    pub device_memory: u64,
}

/// What came of playing.
#[derive(Debug, Serialize)]
pub struct Report {
    name: String,
    chain: String,
    rendering: Option<String>,
    executor: String,
    /// Frames a second, or `most`.
    rate: String,
    /// Frames of the sequence.
    frames: usize,
    /// Wall time.
    seconds: f64,
    /// Frames that came due.
    due: u64,
    #[serde(flatten)]
    tally: Tally,
    /// Frames a second that were shown; those that were held for a missing number count.
    shown_a_second: f64,
    /// From due to shown, in milliseconds; none where nothing was shown, or by no clock.
    delay_median_ms: Option<f64>,
    delay_95th_ms: Option<f64>,
    stages: Vec<Row>,
    limit: &'static str,
    memory: Memory,
    /// How often a lost device was opened again.
    pub device_reopened: u32,
    /// Frames that failed.
    #[serde(rename = "failed_frames")]
    pub failed: Vec<Failed>,
}

#[derive(Debug, Serialize)]
struct Memory {
    budget_bytes: u64,
    peak_bytes: u64,
    device_budget_bytes: u64,
    device_bytes: u64,
}

impl Report {
    /// Puts it together.
    pub fn of(run: &Run<'_>, costs: &Costs, work: &Computing, failed: Vec<Failed>) -> Self {
        let played = Played {
            pace: run.pace,
            tally: &run.tally,
            seconds: run.seconds,
            threads: run.threads,
            has_device: run.has_device,
            fetched: run.fetched,
            device: work.device_seconds(run.pixels),
        };
        let delay = |quantile| {
            let delay = run.tally.delay(quantile).filter(|_| run.pace == Pace::Clock);
            delay.map(|delay| delay.as_secs_f64() * 1e3)
        };
        Self {
            name: run.name.to_string(),
            chain: run.title.to_string(),
            rendering: work.rendering(),
            executor: run.executor.clone(),
            rate: if run.pace == Pace::Most { "most".to_string() } else { run.rate.to_string() },
            frames: run.frames,
            seconds: run.seconds,
            due: run.tally.due(),
            shown_a_second: (run.tally.shown + run.tally.held) as f64 / run.seconds.max(1e-9),
            delay_median_ms: delay(0.5),
            delay_95th_ms: delay(0.95),
            stages: costs.rows(&played),
            limit: costs.limit(&played),
            memory: Memory {
                budget_bytes: run.memory,
                peak_bytes: run.peak_bytes,
                device_budget_bytes: run.device_memory,
                device_bytes: work.device_bytes(),
            },
            device_reopened: work.reopened(),
            tally: run.tally.clone(),
            failed,
        }
    }

    /// For people.
    pub fn text(&self) -> String {
        let rate =
            if self.rate == "most" { "as fast as it goes".to_string() } else { format!("at {} a second", self.rate) };
        let mut text = format!("{}, {}, {rate}, by {}\n", self.name, say::count(self.frames, "frame"), self.executor);
        text += &format!("  rendering: {}\n", self.rendering.as_deref().unwrap_or("none"));
        let Tally { shown, held, dropped, failed, .. } = self.tally;
        text += &format!(
            "  {} due: {shown} shown, {dropped} dropped",
            say::count(usize::try_from(self.due).unwrap_or(usize::MAX), "frame")
        );
        for (count, what) in [(held, "held for a missing number"), (failed, "failed")] {
            if count > 0 {
                text += &format!(", {count} {what}");
            }
        }
        text += &format!(
            "\n  {} frames a second shown, in {} s\n",
            say::significant(self.shown_a_second, 4),
            say::significant(self.seconds, 4)
        );
        if let (Some(median), Some(late)) = (self.delay_median_ms, self.delay_95th_ms) {
            let [median, late] = [median, late].map(|delay| say::significant(delay, 3));
            text += &format!("  from due to shown: {median} ms median, {late} ms at the 95th percentile\n");
        }
        for Change { at, frame, share } in &self.tally.sizes {
            text += &format!("  from frame {frame} on, after {} s: {share}\n", say::significant(at.as_secs_f64(), 3));
        }
        text += "\na frame, each stage on the threads that do it, and for how much of the time it ran there:\n";
        for Row { stage, seconds, frames, at_once, busy } in &self.stages {
            let threads = if *at_once > 1 { format!("  on {at_once} threads") } else { String::new() };
            text += &format!(
                "  {stage:20} {:>10} ms  {:>6.1} %  {frames} times{threads}\n",
                say::significant(seconds * 1e3, 4),
                busy * 100.0
            );
        }
        text += &format!("  limit: {}\n", self.limit);
        let Memory { budget_bytes, peak_bytes, device_budget_bytes, device_bytes } = self.memory;
        text + &format!(
            "\nmemory: {} of {} for decoded frames at the most; on the device {} of {}\n",
            bytes::shown(peak_bytes),
            bytes::shown(budget_bytes),
            bytes::shown(device_bytes),
            bytes::shown(device_budget_bytes)
        )
    }
}
