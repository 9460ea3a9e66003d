//! Working through a queue.

use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use gpu::device::Gpu;
use serde::Serialize;

use super::job::{Done, Job, State};
use super::{Claim, QueueFile};
use crate::engine::{self, Executor};
use crate::render::{MEMORY_BYTES, Order, Report, carry_out};
use crate::{Fault, Follower, Tell};

/// How often a running job looks into the queue's file whether it shall go on.
const LOOK: Duration = Duration::from_millis(200);
/// Frames that failed are named up to here in what the queue keeps.
const MOST_NAMED: usize = 3;

/// What one run of a job came to.
#[derive(Debug, Serialize)]
pub struct Ran {
    /// The job's number.
    pub job: u32,
    /// What it is of.
    pub title: String,
    /// What became of it; none where it was taken out meanwhile.
    pub state: Option<State>,
    /// Why it failed.
    pub why: Option<String>,
    /// What the render did; none where it did not begin.
    pub report: Option<Report>,
}

/// Works through a queue, one job after the other.
pub struct Runner<'a> {
    file: &'a QueueFile,
    tell: Tell,
    /// The graphics adapter, once for each way of asking for it.
    engines: Vec<(Option<Executor>, Option<Arc<Gpu>>)>,
    memory_bytes: u64,
}

impl<'a> Runner<'a> {
    /// For a queue.
    pub fn new(file: &'a QueueFile, tell: Tell) -> Self {
        Self { file, tell, engines: Vec::new(), memory_bytes: MEMORY_BYTES }
    }

    /// With so many bytes of memory for pictures in place of the usual ones.
    #[must_use]
    pub fn with_memory(self, memory_bytes: u64) -> Self {
        Self { memory_bytes, ..self }
    }

    /// Takes the next job; none where none waits.
    ///
    /// # Errors
    /// The queue cannot be read or changed.
    pub fn take(&self) -> Result<Option<(Job, Claim)>, Fault> {
        self.file.take()
    }

    /// Works on a job that was taken until it is over, paused, taken out of the queue, or the follower stops it. In the
    /// last case it waits again.
    ///
    /// # Errors
    /// The queue cannot be read or changed. What goes wrong with the job is in the answer.
    pub fn work(&mut self, job: &Job, claim: Claim, follower: &dyn Follower) -> Result<Ran, Fault> {
        let watch = Watch::new(self.file, job.number, follower);
        let worked = self.render(job, &watch);
        let number = job.number;
        let (state, why, report) = match worked {
            Ok(report) => {
                let why = why(&report);
                let state = match &why {
                    None => State::Done,
                    Some(_) if report.stopped && (watch.was_told() || follower.stop()) => State::Waiting,
                    Some(_) => State::Failed,
                };
                (state, why.filter(|_| state == State::Failed), Some(report))
            }
            Err(fault) => (State::Failed, Some(fault.to_string()), None),
        };
        let done = report.as_ref().map(|report| Done {
            wanted: report.wanted,
            kept: report.kept(),
            written: report.written,
            seconds: report.seconds,
        });
        let state = self.file.change(|queue| {
            let Some(job) = queue.jobs.iter_mut().find(|job| job.number == number) else { return Ok(None) };
            // Who told it to pause or to go meanwhile has said what it is, unless it is over.
            if job.state == State::Running || state.is_over() {
                (job.state, job.why) = (state, why.clone());
            }
            job.done = done;
            Ok(Some(job.state))
        })?;
        drop(claim);
        Ok(Ran { job: number, title: job.title(), state, why, report })
    }

    fn render(&mut self, job: &Job, follower: &dyn Follower) -> Result<Report, Fault> {
        let gpu = self.engine(job.executor)?;
        let (mut chain, order) = job.order(&self.file.folder(), self.tell)?;
        let order = Order { memory_bytes: self.memory_bytes, ..order };
        carry_out(&order, &mut chain, gpu.as_ref(), follower)
    }

    fn engine(&mut self, executor: Option<Executor>) -> Result<Option<Arc<Gpu>>, Fault> {
        if let Some((_, gpu)) = self.engines.iter().find(|(asked, _)| *asked == executor) {
            return Ok(gpu.clone());
        }
        let gpu = engine::open(executor, self.tell)?;
        self.engines.push((executor, gpu.clone()));
        Ok(gpu)
    }
}

/// Why not all frames of a job are there; none where they are.
fn why(report: &Report) -> Option<String> {
    let mut reasons: Vec<_> =
        report.failed.iter().take(MOST_NAMED).map(|it| format!("frame {}: {}", it.frame, it.reason)).collect();
    if report.failed.len() > MOST_NAMED {
        reasons.push(format!("and {} frames more", report.failed.len() - MOST_NAMED));
    }
    if report.stopped {
        reasons.push(format!("stopped after {} of {} frames", report.written + report.kept(), report.wanted));
    }
    (!reasons.is_empty()).then(|| reasons.join("; "))
}

/// Follows a job, and looks from time to time whether the queue still has it running.
struct Watch<'a> {
    file: &'a QueueFile,
    number: u32,
    follower: &'a dyn Follower,
    looked: Mutex<Instant>,
    told: AtomicBool,
}

impl<'a> Watch<'a> {
    fn new(file: &'a QueueFile, number: u32, follower: &'a dyn Follower) -> Self {
        Self { file, number, follower, looked: Mutex::new(Instant::now()), told: AtomicBool::new(false) }
    }

    /// Whether the queue told the job to end.
    fn was_told(&self) -> bool {
        self.told.load(Ordering::Relaxed)
    }
}

impl Follower for Watch<'_> {
    fn note(&self, words: &str) {
        self.follower.note(words);
    }

    fn explained(&self, text: &str) {
        self.follower.explained(text);
    }

    fn begins(&self, frames: usize, name: &str) {
        self.follower.begins(frames, name);
    }

    fn frame_done(&self, number: i64) {
        self.follower.frame_done(number);
    }

    fn stop(&self) -> bool {
        if self.was_told() || self.follower.stop() {
            return true;
        }
        // One thread looks, the others go on.
        if let Ok(mut looked) = self.looked.try_lock()
            && looked.elapsed() >= LOOK
        {
            *looked = Instant::now();
            // A file that cannot be read just now says nothing.
            if let Ok(queue) = self.file.read()
                && queue.job(self.number).is_none_or(|job| job.state != State::Running)
            {
                self.told.store(true, Ordering::Relaxed);
            }
        }
        self.was_told()
    }
}
