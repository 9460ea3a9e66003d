//! Whether pictures are being made: work that can wait lets them go first.

use std::sync::{Arc, TryLockError};
use std::time::{Duration, Instant};

use super::Shared;

/// How often it is looked.
const LOOK: Duration = Duration::from_millis(4);

/// Says whether pictures are being made.
pub struct Busy(pub(super) Arc<Shared>);

impl Busy {
    fn is_so(&self) -> bool {
        let is_held = matches!(self.0.working.try_lock(), Err(TryLockError::WouldBlock));
        is_held || self.0.desk().wishes.is_some()
    }

    /// Waits until none is being made, but no longer than so.
    pub fn wait(&self, longest: Duration) {
        let until = Instant::now() + longest;
        while self.is_so() && Instant::now() < until {
            std::thread::sleep(LOOK);
        }
    }
}
