//! Ctrl-C ends the work between two frames, so that nothing half is left behind.

use std::sync::atomic::{AtomicBool, Ordering};

use super::failure::Failure;

static ASKED: AtomicBool = AtomicBool::new(false);

/// Listens for Ctrl-C. A second one ends the program at once.
pub fn listen() -> Result<(), Failure> {
    ctrlc::set_handler(|| {
        if ASKED.swap(true, Ordering::Relaxed) {
            std::process::exit(1);
        }
    })
    .map_err(Failure::work)
}

/// Whether the work shall end.
pub fn asked() -> bool {
    ASKED.load(Ordering::Relaxed)
}
