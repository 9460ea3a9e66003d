//! A thread that does the newest of what it is given; what has been overtaken stops.

use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

struct Desk<J> {
    job: Option<J>,
    /// Rises with everything that is given or stopped.
    turn: u64,
    closing: bool,
}

struct Shared<J> {
    desk: Mutex<Desk<J>>,
    bell: Condvar,
}

impl<J> Shared<J> {
    fn desk(&self) -> MutexGuard<'_, Desk<J>> {
        self.desk.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

/// Whether a job is still wanted.
pub trait Wanted {
    /// Whether it shall end.
    fn is_over(&self) -> bool;

    /// Waits as long as it is wanted, but not longer than that; whether it is over then.
    fn rest(&self, time: Duration) -> bool;
}

struct Turn<'a, J> {
    shared: &'a Shared<J>,
    turn: u64,
}

impl<J> Wanted for Turn<'_, J> {
    fn is_over(&self) -> bool {
        let desk = self.shared.desk();
        desk.closing || desk.turn != self.turn
    }

    fn rest(&self, time: Duration) -> bool {
        let end = Instant::now() + time;
        let mut desk = self.shared.desk();
        loop {
            let left = end.saturating_duration_since(Instant::now());
            if desk.closing || desk.turn != self.turn {
                return true;
            }
            if left.is_zero() {
                return false;
            }
            desk = self.shared.bell.wait_timeout(desk, left).unwrap_or_else(PoisonError::into_inner).0;
        }
    }
}

/// The thread.
pub struct Worker<J> {
    shared: Arc<Shared<J>>,
    thread: Option<JoinHandle<()>>,
}

impl<J: Send + 'static> Worker<J> {
    /// Does what it is given by `work`.
    pub fn new(mut work: impl FnMut(J, &dyn Wanted) + Send + 'static) -> Self {
        let desk = Mutex::new(Desk { job: None, turn: 0, closing: false });
        let shared = Arc::new(Shared { desk, bell: Condvar::new() });
        let own = Arc::clone(&shared);
        let thread = std::thread::spawn(move || {
            while let Some((job, turn)) = next(&own) {
                work(job, &Turn { shared: &own, turn });
            }
        });
        Self { shared, thread: Some(thread) }
    }

    /// Gives it something to do, in place of what it does.
    pub fn give(&self, job: J) {
        self.change(Some(job));
    }

    /// Ends what it does.
    pub fn stop(&self) {
        self.change(None);
    }

    fn change(&self, job: Option<J>) {
        let mut desk = self.shared.desk();
        desk.job = job;
        desk.turn += 1;
        drop(desk);
        self.shared.bell.notify_all();
    }
}

fn next<J>(shared: &Shared<J>) -> Option<(J, u64)> {
    let mut desk = shared.desk();
    loop {
        if desk.closing {
            return None;
        }
        match desk.job.take() {
            Some(job) => return Some((job, desk.turn)),
            None => desk = shared.bell.wait(desk).unwrap_or_else(PoisonError::into_inner),
        }
    }
}

impl<J> Drop for Worker<J> {
    fn drop(&mut self) {
        self.shared.desk().closing = true;
        self.shared.bell.notify_all();
        if let Some(thread) = self.thread.take() {
            // A thread that panicked has nothing left to say.
            let _ = thread.join();
        }
    }
}

#[cfg(test)]
mod tests {
    use std::sync::mpsc::channel;

    use super::*;

    #[test]
    fn the_newest_is_done_and_what_it_overtakes_ends() {
        let (begun, first) = channel();
        let (done, last) = channel();
        let worker = Worker::new(move |job: u32, wanted: &dyn Wanted| {
            let _ = begun.send(job);
            // The first one would go on for an hour.
            if job == 1 {
                let _ = done.send((job, wanted.rest(Duration::from_secs(3600))));
            } else {
                let _ = done.send((job, wanted.is_over()));
            }
        });
        worker.give(1);
        assert_eq!(first.recv(), Ok(1));
        worker.give(2);
        assert_eq!([last.recv(), last.recv()], [Ok((1, true)), Ok((2, false))]);
        worker.give(1);
        assert_eq!(first.iter().nth(1), Some(1));
        worker.stop();
        assert_eq!(last.recv(), Ok((1, true)));
    }
}
