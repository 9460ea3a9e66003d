//! A render seen from a terminal: notes, a progress bar, and Ctrl-C.

use indicatif::{ProgressBar, ProgressDrawTarget};
use session::Follower;

use super::{interrupt, say};

/// Follows a render with a progress bar, on a terminal.
pub struct Terminal {
    bar: ProgressBar,
}

impl Terminal {
    /// Before anything is known of the frames; nothing is drawn yet.
    pub fn new() -> Self {
        let bar = say::progress(0, "");
        bar.set_draw_target(ProgressDrawTarget::hidden());
        Self { bar }
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

    fn begins(&self, frames: usize, name: &str) {
        self.bar.set_draw_target(ProgressDrawTarget::stderr());
        self.bar.set_length(frames as u64);
        self.bar.set_message(name.to_string());
        // Rate and time left are of the rendering alone.
        self.bar.reset();
    }

    fn frame_done(&self, number: i64) {
        self.bar.set_prefix(format!("frame {number}"));
        self.bar.inc(1);
    }

    fn stop(&self) -> bool {
        interrupt::asked()
    }
}
