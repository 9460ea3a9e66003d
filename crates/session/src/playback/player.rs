//! The threads of playing: some read ahead, one computes, one shows.
//!
//! What to do when is the [`Schedule`]'s to say. The thread that computes takes the next frame from it, hands it to the
//! [`Work`] and puts the picture back; the thread that shows waits for the moment at which it is due. A change by hand takes
//! effect at once: what is waited for is waited for no more, and what is being computed is not shown.

use std::collections::VecDeque;
use std::path::Path;
use std::sync::{Arc, Condvar, Mutex, MutexGuard, PoisonError};
use std::thread::{self, JoinHandle};
use std::time::{Duration, Instant};

use media::ahead::{AheadError, Decoded, Limits, Position, ReadAhead, Reader};
use media::{MediaError, Picture, Sequence};

use super::costs::{Costs, Stage};
use super::work::Work;
use super::{Pace, Purpose, Rate, Schedule, Share, Shown, Tally, Task, Transport};
use crate::Fault;

/// How long play by the clock waits for a file before it looks at the clock again, at most.
const LOOK: Duration = Duration::from_millis(20);

/// Where pictures go: a window, or whoever counts them. Called on the thread that shows, in order, when each is due.
pub trait Screen<P>: Send + 'static {
    /// Shows a picture, or says why there is none of this frame; what was shown before then stays in sight.
    fn show(&mut self, shown: Shown<P>);
}

struct Inside<W: Work> {
    schedule: Schedule<W::Picture>,
    chain: Option<W::Chain>,
    closing: bool,
}

struct Shared<W: Work> {
    inside: Mutex<Inside<W>>,
    /// There may be something to compute.
    to_compute: Condvar,
    /// There may be something to show, or play has come to its end.
    to_show: Condvar,
    /// Something was shown, or play has come to its end.
    shown: Condvar,
    ahead: ReadAhead,
    costs: Arc<Costs>,
    begun: Instant,
}

impl<W: Work> Shared<W> {
    fn lock(&self) -> MutexGuard<'_, Inside<W>> {
        self.inside.lock().unwrap_or_else(PoisonError::into_inner)
    }

    /// The time of the schedule: since the player was started.
    fn now(&self) -> Duration {
        self.begun.elapsed()
    }
}

/// Plays a sequence. Dropping it ends the threads; reads and pictures under way are waited for.
pub struct Player<W: Work> {
    shared: Arc<Shared<W>>,
    /// Gives the work back.
    computes: Option<JoinHandle<W>>,
    shows: Option<JoinHandle<()>>,
}

/// What a player may take of the machine, and what it goes by.
#[derive(Debug, Clone, Copy)]
pub struct Settings {
    /// Frames a second.
    pub rate: Rate,
    /// The clock, or as fast as it goes.
    pub pace: Pace,
    /// Memory and threads for reading ahead.
    pub limits: Limits,
}

impl<W: Work> Player<W> {
    /// Stands on the first frame of a sequence and shows it.
    ///
    /// # Errors
    /// The system starts no thread.
    pub fn start(
        sequence: &Sequence,
        settings: Settings,
        costs: Arc<Costs>,
        work: W,
        screen: impl Screen<W::Picture>,
    ) -> Result<Self, Fault> {
        Self::start_with(sequence, settings, costs, work, screen, media::read_timed)
    }

    /// As [`Player::start`], files being read in a way of your own.
    ///
    /// # Errors
    /// As [`Player::start`].
    pub fn start_with(
        sequence: &Sequence,
        settings: Settings,
        costs: Arc<Costs>,
        work: W,
        screen: impl Screen<W::Picture>,
        read: impl Fn(&Path) -> (Result<Picture, MediaError>, Duration) + Send + Sync + 'static,
    ) -> Result<Self, Fault> {
        let numbers = sequence.frames().iter().map(|(number, _)| *number).collect();
        let inside =
            Inside { schedule: Schedule::new(numbers, settings.rate, settings.pace), chain: None, closing: false };
        let ahead =
            ReadAhead::with_reader(sequence.frames().to_vec(), settings.limits, timed(read, Arc::clone(&costs)))?;
        let shared = Arc::new(Shared {
            inside: Mutex::new(inside),
            to_compute: Condvar::new(),
            to_show: Condvar::new(),
            shown: Condvar::new(),
            ahead,
            costs,
            begun: Instant::now(),
        });
        let mut player = Self { shared: Arc::clone(&shared), computes: None, shows: None };
        let no_thread = |error| Fault::failed(format!("the system starts no thread: {error}; close other programs"));
        let thread = |name: &str| thread::Builder::new().name(name.to_string());
        let for_computing = Arc::clone(&shared);
        player.computes =
            Some(thread("compute").spawn(move || Computer::new(for_computing, work).run()).map_err(no_thread)?);
        player.shows = Some(thread("show").spawn(move || show(&shared, screen)).map_err(no_thread)?);
        Ok(player)
    }

    /// Moves or turns the play head, at once.
    pub fn change<T>(&self, change: impl FnOnce(&mut Transport, Duration) -> T) -> T {
        let mut inside = self.shared.lock();
        let done = inside.schedule.change(self.shared.now(), change);
        self.roused(inside);
        done
    }

    /// Takes another chain: what is in sight is drawn anew. While it plays, the frames after the next ones are; those that
    /// are being computed are still shown, or a setting that is dragged would leave nothing to be seen.
    pub fn set_chain(&self, chain: W::Chain) {
        let mut inside = self.shared.lock();
        inside.chain = Some(chain);
        if inside.schedule.transport().plays() {
            inside.schedule.compute_anew(self.shared.now());
            drop(inside);
            self.shared.to_compute.notify_all();
        } else {
            inside.schedule.redraw();
            self.roused(inside);
        }
    }

    /// Draws what is in sight again, for instance because it was lost with its device.
    pub fn redraw(&self) {
        let mut inside = self.shared.lock();
        inside.schedule.redraw();
        self.roused(inside);
    }

    /// Nobody waits for what was wanted before. Under the lock, so that it cannot be asked for again meanwhile.
    fn roused(&self, inside: MutexGuard<'_, Inside<W>>) {
        self.shared.ahead.cancel();
        drop(inside);
        self.shared.to_compute.notify_all();
        self.shared.to_show.notify_all();
    }

    /// Looks at the play head; the time is that of its `now`.
    pub fn look<T>(&self, look: impl FnOnce(&Transport, Duration) -> T) -> T {
        look(self.shared.lock().schedule.transport(), self.shared.now())
    }

    /// What became of the frames that came due, up to now.
    pub fn tally(&self) -> Tally {
        let mut inside = self.shared.lock();
        inside.schedule.settle(self.shared.now());
        inside.schedule.tally().clone()
    }

    /// Counts anew from here on.
    pub fn count_anew(&self) {
        self.shared.lock().schedule.count_anew(self.shared.now());
    }

    /// How large frames are played.
    pub fn share(&self) -> Share {
        self.shared.lock().schedule.share()
    }

    /// What is read ahead: for a bar of what is at hand.
    pub fn ahead(&self) -> &ReadAhead {
        &self.shared.ahead
    }

    /// Waits, at most so long, until play has come to its end. False if it has not by then.
    pub fn wait_for_end(&self, patience: Duration) -> bool {
        self.wait_until(patience, |schedule, _| !schedule.transport().plays())
    }

    /// Waits, at most so long, until the frame on which the play head stands is in sight, or known not to come. False if
    /// it is not by then.
    pub fn wait_for_rest(&self, patience: Duration) -> bool {
        self.wait_until(patience, Schedule::is_at_rest)
    }

    fn wait_until(&self, patience: Duration, is_so: impl Fn(&Schedule<W::Picture>, Duration) -> bool) -> bool {
        let until = Instant::now() + patience;
        let mut inside = self.shared.lock();
        loop {
            inside.schedule.settle(self.shared.now());
            if is_so(&inside.schedule, self.shared.now()) {
                return true;
            }
            let left = until.saturating_duration_since(Instant::now());
            if left.is_zero() {
                return false;
            }
            inside = self.shared.shown.wait_timeout(inside, left).unwrap_or_else(PoisonError::into_inner).0;
        }
    }

    /// Ends the threads and gives the work back; nothing where it panicked.
    pub fn end(mut self) -> Option<W> {
        self.close()
    }

    fn close(&mut self) -> Option<W> {
        let mut inside = self.shared.lock();
        inside.closing = true;
        self.roused(inside);
        let work = self.computes.take().and_then(|thread| thread.join().ok());
        if let Some(thread) = self.shows.take() {
            // A screen that panicked has nothing left to show.
            let _ = thread.join();
        }
        work
    }
}

impl<W: Work> Drop for Player<W> {
    fn drop(&mut self) {
        self.close();
    }
}

/// A reader whose times are added up.
fn timed(
    read: impl Fn(&Path) -> (Result<Picture, MediaError>, Duration) + Send + Sync + 'static,
    costs: Arc<Costs>,
) -> Box<Reader> {
    Box::new(move |path| {
        let started = Instant::now();
        let (picture, reading) = read(path);
        costs.add_file(reading, started.elapsed().saturating_sub(reading));
        (picture, reading)
    })
}

/// Shows pictures when they are due.
fn show<W: Work>(shared: &Shared<W>, mut screen: impl Screen<W::Picture>) {
    let mut inside = shared.lock();
    while !inside.closing {
        if let Some(shown) = inside.schedule.show(shared.now()) {
            drop(inside);
            shared.to_compute.notify_all();
            screen.show(shown);
            inside = shared.lock();
            shared.shown.notify_all();
            continue;
        }
        shared.shown.notify_all();
        // What came too late has made room.
        shared.to_compute.notify_all();
        let now = shared.now();
        inside = match inside.schedule.wake(now) {
            Some(at) => {
                let (inside, _) =
                    shared.to_show.wait_timeout(inside, at.saturating_sub(now)).unwrap_or_else(PoisonError::into_inner);
                inside
            }
            None => shared.to_show.wait(inside).unwrap_or_else(PoisonError::into_inner),
        };
    }
}

/// What came of looking for a frame.
enum Found {
    Here(Decoded),
    NotYet,
    Failed(String),
    /// The play head has gone elsewhere.
    Moved,
}

/// A frame on its way through the work.
struct OnItsWay {
    task: Task,
    since: Duration,
}

/// The thread that computes.
struct Computer<W: Work> {
    shared: Arc<Shared<W>>,
    work: W,
    on_its_way: VecDeque<OnItsWay>,
    /// When the last picture was done.
    last_done: Duration,
}

impl<W: Work> Computer<W> {
    fn new(shared: Arc<Shared<W>>, work: W) -> Self {
        Self { shared, work, on_its_way: VecDeque::new(), last_done: Duration::ZERO }
    }

    fn run(mut self) -> W {
        let shared = Arc::clone(&self.shared);
        loop {
            let mut inside = shared.lock();
            if inside.closing {
                return self.work;
            }
            if let Some(chain) = inside.chain.take() {
                self.work.set(chain);
            }
            let now = shared.now();
            let task = if self.work.has_room() { inside.schedule.task(now) } else { None };
            match task {
                Some(task) => {
                    let at_hand = !matches!(shared.ahead.try_get(task.source), Ok(None));
                    let read = shared.costs.last_read();
                    let from = inside.schedule.reads_from(now, &task, at_hand, read);
                    let head = inside.schedule.transport().position(from);
                    let until = inside.schedule.holds_until(&task);
                    // Under the lock, so that no change by hand can come between.
                    shared.ahead.want(&head);
                    drop(inside);
                    let patience = until.map(|until| until.saturating_sub(now));
                    self.take(task, &head, patience);
                }
                None if self.on_its_way.is_empty() => {
                    drop(shared.to_compute.wait(inside).unwrap_or_else(PoisonError::into_inner));
                }
                None => {
                    drop(inside);
                    self.receive();
                }
            }
        }
    }

    /// Looks for the frame of a task and sends it on its way, or says why not; or uses the time otherwise.
    fn take(&mut self, task: Task, head: &Position, patience: Option<Duration>) {
        match self.find(&task, patience) {
            Found::Here(decoded) => self.send(task, &decoded, head),
            Found::Failed(why) => {
                self.receive_all();
                let mut inside = self.shared.lock();
                if inside.schedule.begin(&task) {
                    inside.schedule.done(task, Err(why), Duration::ZERO, Duration::ZERO);
                }
                drop(inside);
                self.shared.to_show.notify_all();
            }
            Found::NotYet | Found::Moved => {}
        }
    }

    fn find(&mut self, task: &Task, patience: Option<Duration>) -> Found {
        match found(self.shared.ahead.try_get(task.source)) {
            Found::NotYet => {}
            found => return found,
        }
        if task.purpose == Purpose::Still
            && let Some((number, decoded)) = self.shared.ahead.nearest(task.source)
        {
            if number == task.source {
                // It has come just now.
                return Found::Here(decoded);
            }
            let meanwhile = self.shared.lock().schedule.meanwhile(task, number);
            if let Some(meanwhile) = meanwhile {
                let head = self.shared.lock().schedule.transport().position(task.source);
                self.send(meanwhile, &decoded, &head);
                return Found::NotYet;
            }
        }
        if !self.on_its_way.is_empty() {
            // The time is better spent on what is under way.
            self.receive();
            return Found::NotYet;
        }
        let started = Instant::now();
        let found = match patience {
            Some(patience) => found(self.shared.ahead.look_out(task.source, patience.min(LOOK))),
            None => found(self.shared.ahead.wait(task.source).map(Some)),
        };
        if let Purpose::Play(_) = task.purpose {
            self.shared.costs.add(Stage::Starved, started.elapsed());
        }
        found
    }

    fn send(&mut self, task: Task, decoded: &Decoded, head: &Position) {
        if !self.shared.lock().schedule.begin(&task) {
            return;
        }
        let since = self.shared.now();
        match self.work.send(&task, decoded, head) {
            Ok(()) => self.on_its_way.push_back(OnItsWay { task, since }),
            Err(fault) => {
                self.receive_all();
                self.done(task, Err(fault.to_string()), since);
            }
        }
    }

    fn receive_all(&mut self) {
        while !self.on_its_way.is_empty() {
            self.receive();
        }
    }

    fn receive(&mut self) {
        let Some(OnItsWay { task, since }) = self.on_its_way.pop_front() else { return };
        let picture = self.work.receive().map_err(|fault| fault.to_string());
        self.done(task, picture, since);
    }

    fn done(&mut self, task: Task, picture: Result<W::Picture, String>, since: Duration) {
        let now = self.shared.now();
        let took = now.saturating_sub(since);
        // Frames on their way together share the time: each cost what passed since the one before it was done.
        let cost = now.saturating_sub(since.max(self.last_done));
        self.last_done = now;
        self.shared.lock().schedule.done(task, picture, took, cost);
        self.shared.to_show.notify_all();
    }
}

fn found(frame: Result<Option<Decoded>, AheadError>) -> Found {
    match frame {
        Ok(Some(decoded)) => Found::Here(decoded),
        Ok(None) => Found::NotYet,
        Err(AheadError::Cancelled) => Found::Moved,
        Err(error) => Found::Failed(error.to_string()),
    }
}

#[cfg(test)]
mod tests;
