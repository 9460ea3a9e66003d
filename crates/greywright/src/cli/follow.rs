//! A render seen from a terminal: notes, a progress bar, and Ctrl-C.

use indicatif::ProgressBar;
use session::Follower;

use super::{interrupt, say};

/// Follows a render with a progress bar, on a terminal.
pub struct Terminal {
    bar: ProgressBar,
}

impl Terminal {
    /// For so many frames of a sequence.
    pub fn new(frames: usize, name: &str) -> Self {
        Self { bar: say::progress(frames, name) }
    }
}

impl Drop for Terminal {
    fn drop(&mut self) {
        self.bar.finish_and_clear();
    }
}

impl Follower for Terminal {
    fn note(&self, words: &str) {
        self.bar.suspend(|| say::note(words));
    }

    fn explained(&self, text: &str) {
        self.bar.suspend(|| eprint!("{text}"));
    }

    fn frame_done(&self, _: i64) {
        self.bar.inc(1);
    }

    fn stop(&self) -> bool {
        interrupt::asked()
    }
}
