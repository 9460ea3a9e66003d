//! Renders that run aside while the window goes on: the queue beside the project, worked through by a thread of its own.
//!
//! The queue is the file that the command line has too, so that what waits is there again tomorrow, and goes on where it was
//! broken off. Renders compute on a device of their own, and let pictures go first: between two frames they wait for
//! the picture that is being made.

mod following;
pub mod keys;
#[cfg(test)]
mod tests;

use std::path::PathBuf;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;

use session::Fault;
use session::queue::{QueueFile, Runner};

use crate::pictures::Busy;
use crate::state::{Bench, Seen};
use following::Following;

/// Memory for frames on their way; the window has its own beside it.
const MEMORY_BYTES: u64 = 512 << 20;

/// What the window wants to be worked through.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Wish {
    /// The queue's file.
    file: Option<PathBuf>,
    /// Rises whenever jobs are to be taken.
    told: u64,
    /// Rises whenever somebody changed the file.
    changed: u64,
}

#[derive(Default)]
struct Desk {
    wish: Wish,
    seen: Seen,
    /// Whether there is something to be seen that was not yet.
    fresh: bool,
    closing: bool,
}

struct Shared {
    desk: Mutex<Desk>,
    bell: Condvar,
    context: egui::Context,
    busy: Busy,
}

impl Shared {
    fn desk(&self) -> MutexGuard<'_, Desk> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// Changes what is seen, and wakes the window for it.
    fn see(&self, change: impl FnOnce(&mut Seen)) {
        let mut desk = self.desk();
        change(&mut desk.seen);
        desk.fresh = true;
        drop(desk);
        self.context.request_repaint();
    }

    /// Whether the queue is still the one that is wanted.
    fn is_wanted(&self, file: &PathBuf) -> bool {
        let desk = self.desk();
        !desk.closing && desk.wish.file.as_ref() == Some(file)
    }
}

/// The renders of the project that is open.
pub struct Renders {
    shared: Arc<Shared>,
    thread: Option<JoinHandle<()>>,
}

impl Renders {
    /// Works aside and wakes the window when there is something to be seen; pictures go first.
    pub fn new(context: egui::Context, busy: Busy) -> Self {
        let shared = Arc::new(Shared { desk: Mutex::default(), bell: Condvar::new(), context, busy });
        let own = Arc::clone(&shared);
        let thread = std::thread::spawn(move || work(&own));
        Self { shared, thread: Some(thread) }
    }

    /// Takes what the state calls for, and gives what is to be seen since the last time.
    pub fn follow(&self, bench: &Bench) -> Option<Seen> {
        let (told, changed) = bench.renders.turns();
        let wish = Wish { file: bench.queue(), told, changed };
        let mut desk = self.shared.desk();
        if desk.wish != wish {
            if desk.wish.file != wish.file {
                desk.seen = Seen::default();
            }
            desk.wish = wish;
            self.shared.bell.notify_one();
        }
        std::mem::take(&mut desk.fresh).then(|| desk.seen.clone())
    }
}

impl Drop for Renders {
    fn drop(&mut self) {
        self.shared.desk().closing = true;
        self.shared.bell.notify_one();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

/// Works through what is wanted until the window closes.
fn work(shared: &Shared) {
    let mut known = Wish::default();
    loop {
        let wish = {
            let mut desk = shared.desk();
            while !desk.closing && desk.wish == known {
                desk = shared.bell.wait(desk).unwrap_or_else(PoisonError::into_inner);
            }
            if desk.closing {
                return;
            }
            desk.wish.clone()
        };
        let is_told = wish.told != known.told && wish.told > 0;
        known = wish;
        let Some(path) = known.file.clone() else { continue };
        let file = QueueFile::at(&path);
        let done = if is_told { through(shared, &path, &file) } else { list(shared, &file) };
        if let Err(fault) = done {
            shared.see(|seen| (seen.working, seen.fault) = (None, Some(fault.to_string())));
        }
    }
}

/// Takes one job after the other for as long as one waits.
fn through(shared: &Shared, path: &PathBuf, file: &QueueFile) -> Result<(), Fault> {
    let mut runner = Runner::new(file, |_| {}).with_memory(MEMORY_BYTES);
    while shared.is_wanted(path)
        && let Some((job, claim)) = runner.take()?
    {
        list(shared, file)?;
        let following = Following::new(shared, path, job.number);
        runner.work(&job, claim, &following)?;
        shared.see(|seen| seen.working = None);
    }
    list(shared, file)
}

/// Looks at the queue as it is.
fn list(shared: &Shared, file: &QueueFile) -> Result<(), Fault> {
    let jobs = if file.is_there() { file.jobs()? } else { Vec::new() };
    shared.see(|seen| {
        seen.jobs = jobs;
        seen.fault = None;
    });
    Ok(())
}
