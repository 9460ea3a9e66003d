//! The threads that read, and what they share with those who ask.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use super::decoded::{Decoded, Failure, Reader, Spent, decode};
use super::shelf::Shelf;
use super::{AheadError, Limits};
use crate::MediaError;

/// What must be seen and changed in one.
#[derive(Debug)]
pub(super) struct Desk {
    pub shelf: Shelf,
    /// How often reading was cancelled: who waits since an earlier time does so in vain.
    cancels: u64,
    closing: bool,
}

/// What the threads share.
pub(super) struct Shared {
    /// Number and path of each place, numbers ascending.
    frames: Vec<(i64, PathBuf)>,
    numbers: Vec<i64>,
    reader: Box<Reader>,
    desk: Mutex<Desk>,
    /// There may be something to read.
    work: Condvar,
    /// Something was read, or nothing more will be.
    news: Condvar,
}

impl Shared {
    /// The number of each place, ascending.
    pub fn numbers(&self) -> &[i64] {
        &self.numbers
    }

    /// The place of a number.
    pub fn place(&self, number: i64) -> Result<usize, AheadError> {
        self.numbers.binary_search(&number).map_err(|place| AheadError::NotThere {
            number,
            before: place.checked_sub(1).and_then(|place| self.numbers.get(place)).copied(),
            after: self.numbers.get(place).copied(),
        })
    }

    /// Looks at the shelf.
    pub fn look<T>(&self, look: impl FnOnce(&mut Desk) -> T) -> T {
        look(&mut self.lock())
    }

    /// Changes the shelf in such a way that there may be something to read.
    pub fn change<T>(&self, change: impl FnOnce(&mut Shelf) -> T) -> T {
        let done = change(&mut self.lock().shelf);
        self.work.notify_all();
        done
    }

    /// Stops what has not begun, and lets go those who wait.
    pub fn cancel(&self) {
        let mut desk = self.lock();
        desk.cancels += 1;
        desk.shelf.cancel();
        drop(desk);
        self.news.notify_all();
    }

    /// Waits until the frame was read or could not be, and fetches it by `fetch` before anything else happens.
    pub fn wait<T>(
        &self,
        place: usize,
        retry: bool,
        fetch: impl FnOnce(&mut Shelf) -> Option<T>,
    ) -> Result<T, AheadError> {
        let mut desk = self.lock();
        if desk.shelf.is_cancelled() {
            return Err(AheadError::Cancelled);
        }
        let cancels = desk.cancels;
        if retry {
            desk.shelf.retry(place);
        }
        desk.shelf.wait(place);
        self.work.notify_all();
        while desk.cancels == cancels && !desk.shelf.is_answered(place) {
            desk = self.news.wait(desk).unwrap_or_else(PoisonError::into_inner);
        }
        if desk.cancels != cancels {
            // Whoever cancelled has also forgotten that somebody waits here.
            return Err(AheadError::Cancelled);
        }
        desk.shelf.leave(place);
        let fetched = fetch(&mut desk.shelf);
        drop(desk);
        // What was kept for whoever waited may go now.
        self.work.notify_all();
        fetched.ok_or(AheadError::Cancelled)
    }

    /// Waits so long for what `fetch` finds, without asking for it.
    pub fn look_out<T>(
        &self,
        patience: Duration,
        fetch: impl Fn(&mut Shelf) -> Option<T>,
    ) -> Result<Option<T>, AheadError> {
        let until = Instant::now().checked_add(patience);
        let mut desk = self.lock();
        let cancels = desk.cancels;
        loop {
            if let Some(fetched) = fetch(&mut desk.shelf) {
                drop(desk);
                self.work.notify_all();
                return Ok(Some(fetched));
            }
            if desk.shelf.is_cancelled() || desk.cancels != cancels {
                return Err(AheadError::Cancelled);
            }
            let left = until.map_or(patience, |until| until.saturating_duration_since(Instant::now()));
            if left.is_zero() {
                return Ok(None);
            }
            desk = self.news.wait_timeout(desk, left).unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// What is behind the lock is always whole: nothing that may panic is done under it.
    fn lock(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Reads frames until the end.
    fn serve(&self) {
        let mut desk = self.lock();
        while !desk.closing {
            let Some((place, (_, path))) = desk.shelf.begin().and_then(|place| Some((place, self.frames.get(place)?)))
            else {
                desk = self.work.wait(desk).unwrap_or_else(PoisonError::into_inner);
                continue;
            };
            drop(desk);
            let outcome = catch_unwind(AssertUnwindSafe(|| decode(&self.reader, path))).unwrap_or_else(|_| {
                // Nobody sees what the reader left behind; a frame that never ended would stall who waits for it.
                let error = Arc::new(MediaError::damaged(path, "reading it broke off"));
                Err(Failure { error, spent: Spent::default() })
            });
            desk = self.lock();
            desk.shelf.end(place, outcome);
            self.news.notify_all();
            self.work.notify_all();
        }
    }
}

/// The threads, which end with this.
pub(super) struct Engine {
    shared: Arc<Shared>,
    threads: Vec<JoinHandle<()>>,
}

impl Engine {
    /// Starts threads that read these frames.
    pub fn start(mut frames: Vec<(i64, PathBuf)>, limits: Limits, reader: Box<Reader>) -> Result<Engine, MediaError> {
        frames.sort_by_key(|(number, _)| *number);
        if let Some([(number, first), (_, second)]) = frames.array_windows().find(|[one, next]| one.0 == next.0) {
            let (first, second) = (first.clone(), second.clone());
            return Err(MediaError::Twice { number: *number, first, second });
        }
        let desk = Desk { shelf: Shelf::new(frames.len(), limits.budget_bytes), cancels: 0, closing: false };
        let shared = Arc::new(Shared {
            numbers: frames.iter().map(|(number, _)| *number).collect(),
            frames,
            reader,
            desk: Mutex::new(desk),
            work: Condvar::new(),
            news: Condvar::new(),
        });
        let mut engine = Engine { shared: Arc::clone(&shared), threads: Vec::new() };
        let threads = limits.threads.unwrap_or_else(|| thread::available_parallelism().map_or(1, usize::from)).max(1);
        for _ in 0..threads {
            let shared = Arc::clone(&shared);
            match thread::Builder::new().name("read ahead".into()).spawn(move || shared.serve()) {
                Ok(thread) => engine.threads.push(thread),
                // Fewer do it too.
                Err(_) if !engine.threads.is_empty() => break,
                Err(source) => return Err(MediaError::NoThread { source }),
            }
        }
        Ok(engine)
    }

    /// What the threads share.
    pub fn shared(&self) -> &Arc<Shared> {
        &self.shared
    }
}

impl Drop for Engine {
    fn drop(&mut self) {
        self.shared.look(|desk| desk.closing = true);
        self.shared.cancel();
        self.shared.work.notify_all();
        for thread in self.threads.drain(..) {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

/// Turns what the shelf hands out into what the user gets.
pub(super) fn answer(fetched: Result<Decoded, Failure>) -> Result<Decoded, AheadError> {
    fetched.map_err(|failure| AheadError::Failed(failure.error))
}
