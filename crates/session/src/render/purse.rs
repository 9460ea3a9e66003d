//! How much memory pictures take that are on their way: computed, or waiting to be written.

use std::sync::{Condvar, Mutex, MutexGuard, PoisonError};

/// Bytes that may be taken and are given back. One taker alone always gets what it asks for, so that a purse that is too small
/// makes work slow and never stops it.
#[derive(Debug)]
pub struct Purse {
    limit: u64,
    held: Mutex<Held>,
    given: Condvar,
}

#[derive(Debug, Default)]
struct Held {
    taken: u64,
    peak: u64,
}

impl Held {
    fn take(&mut self, bytes: u64, limit: u64) -> bool {
        let fits = self.taken == 0 || self.taken.saturating_add(bytes) <= limit;
        if fits {
            self.taken += bytes;
            self.peak = self.peak.max(self.taken);
        }
        fits
    }
}

impl Purse {
    /// A purse of so many bytes.
    pub fn new(limit: u64) -> Self {
        Self { limit, held: Mutex::default(), given: Condvar::new() }
    }

    fn held(&self) -> MutexGuard<'_, Held> {
        // Sums are whole even where another thread panicked.
        self.held.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Takes bytes if they are there.
    pub fn try_take(&self, bytes: u64) -> bool {
        self.held().take(bytes, self.limit)
    }

    /// Waits until the bytes are there, and takes them.
    pub fn take(&self, bytes: u64) {
        let mut held = self.held();
        while !held.take(bytes, self.limit) {
            held = self.given.wait(held).unwrap_or_else(PoisonError::into_inner);
        }
    }

    /// Gives bytes back.
    pub fn give(&self, bytes: u64) {
        let mut held = self.held();
        held.taken = held.taken.saturating_sub(bytes);
        self.given.notify_all();
    }

    /// The most that was taken at once.
    pub fn peak(&self) -> u64 {
        self.held().peak
    }
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;

    #[test]
    fn no_more_is_taken_than_there_is() {
        let purse = Purse::new(10);
        assert!(purse.try_take(6));
        assert!(!purse.try_take(5));
        assert!(purse.try_take(4));
        purse.give(6);
        assert!(purse.try_take(6));
        assert_eq!(purse.peak(), 10);
    }

    #[test]
    fn one_alone_gets_what_it_asks_for() {
        let purse = Purse::new(10);
        assert!(purse.try_take(50));
        assert!(!purse.try_take(1));
        purse.give(50);
        assert!(purse.try_take(1));
    }

    #[test]
    fn who_waits_gets_what_others_give_back() {
        let purse = Arc::new(Purse::new(10));
        assert!(purse.try_take(10));
        let other = Arc::clone(&purse);
        let waiting = std::thread::spawn(move || other.take(8));
        purse.give(10);
        waiting.join().unwrap();
        assert!(!purse.try_take(3));
    }
}
