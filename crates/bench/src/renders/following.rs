//! Follows the render that runs: counts its frames, lets pictures go first, ends it when the window is done with it.

use std::path::PathBuf;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use session::Follower;

use super::Shared;
use crate::state::Working;

/// How long a frame waits for pictures at most: a render is to get on while somebody drags for minutes.
const LONGEST_WAIT: Duration = Duration::from_millis(400);
/// How often what is done is shown anew.
const SHOWN_EVERY: Duration = Duration::from_millis(250);

/// What is known of the job.
struct Progress {
    done: usize,
    of: usize,
    since: Instant,
    shown: Option<Instant>,
}

pub struct Following<'a> {
    shared: &'a Shared,
    queue: &'a PathBuf,
    job: u32,
    progress: Mutex<Progress>,
}

impl<'a> Following<'a> {
    /// For a job of a queue.
    pub fn new(shared: &'a Shared, queue: &'a PathBuf, job: u32) -> Self {
        let progress = Progress { done: 0, of: 0, since: Instant::now(), shown: None };
        Self { shared, queue, job, progress: Mutex::new(progress) }
    }

    fn change(&self, change: impl FnOnce(&mut Progress)) {
        let mut progress = self.progress.lock().unwrap_or_else(PoisonError::into_inner);
        change(&mut progress);
        let is_last = progress.done == progress.of;
        if progress.shown.is_none_or(|shown| is_last || shown.elapsed() >= SHOWN_EVERY) {
            progress.shown = Some(Instant::now());
            let Progress { done, of, since, .. } = *progress;
            let working = Working { job: self.job, done, of, seconds: since.elapsed().as_secs_f64() };
            self.shared.see(|seen| seen.working = Some(working));
        }
    }
}

impl Follower for Following<'_> {
    fn note(&self, words: &str) {
        self.shared.see(|seen| seen.note = Some(words.to_string()));
    }

    fn begins(&self, frames: usize, _: &str) {
        self.change(|progress| (progress.of, progress.since) = (frames, Instant::now()));
    }

    fn frame_done(&self, _: i64) {
        self.change(|progress| progress.done += 1);
    }

    fn stop(&self) -> bool {
        self.shared.busy.wait(LONGEST_WAIT);
        !self.shared.is_wanted(self.queue)
    }
}
