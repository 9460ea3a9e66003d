//! What to compute next, what to show when, and what has come too late. No threads and no clock of its own: it is told the
//! time and what happened, and says what to do.

use std::collections::VecDeque;
use std::time::Duration;

use super::proxy::Proxies;
use super::{Change, Rate, Share, Tally, Transport};

/// Frames that are being computed or lie ready, at most: some are on their way through the device, one is being looked at.
const AHEAD: usize = 5;
/// Of so many frames the median says how long the next one takes to become ready.
const LATELY: usize = 9;

/// What play goes by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pace {
    /// The clock: what is late is dropped.
    Clock,
    /// The machine: every frame, as fast as it goes.
    Most,
}

/// Why a frame is computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Purpose {
    /// It is played, after so many steps.
    Play(u64),
    /// The play head stands on it.
    Still,
    /// It stands in until the one comes on which the play head stands.
    Meanwhile,
}

/// A frame to be computed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Task {
    /// The number that it is shown for.
    pub number: i64,
    /// The number of the frame itself: the one before, where the sequence lacks the number.
    pub source: i64,
    /// How large.
    pub share: Share,
    /// What for.
    pub purpose: Purpose,
    /// Changes by hand before it: what belongs to an earlier one is wanted no more.
    run: u64,
}

/// A frame to be shown now.
#[derive(Debug, PartialEq, Eq)]
pub struct Shown<P> {
    /// What it was computed for.
    pub task: Task,
    /// How long after it came due; nothing for a still.
    pub delay: Duration,
    /// What it looks like, or why that is not known.
    pub picture: Result<P, String>,
}

struct Ready<P> {
    task: Task,
    picture: Result<P, String>,
}

/// The frame in sight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct InSight {
    source: i64,
    share: Share,
}

/// Decides. `P` is what a computed frame is.
pub struct Schedule<P> {
    transport: Transport,
    pace: Pace,
    /// The numbers that there are, ascending.
    numbers: Vec<i64>,
    run: u64,
    /// The first step that nobody computes yet.
    next: u64,
    /// Steps of which it is known what became of them.
    settled: u64,
    under_way: usize,
    ready: VecDeque<Ready<P>>,
    /// How long the last frames took to become ready.
    took: VecDeque<Duration>,
    proxies: Proxies,
    in_sight: Option<InSight>,
    /// The frame that will stand in until the right one comes.
    coming: Option<i64>,
    tally: Tally,
}

impl<P> Schedule<P> {
    /// For the frames of these numbers, ascending, at least one.
    pub fn new(numbers: Vec<i64>, rate: Rate, pace: Pace) -> Self {
        let span = numbers.first().copied().unwrap_or(0)..=numbers.last().copied().unwrap_or(0);
        Self {
            transport: Transport::new(span, rate),
            pace,
            numbers,
            run: 0,
            next: 0,
            settled: 0,
            under_way: 0,
            ready: VecDeque::new(),
            took: VecDeque::new(),
            proxies: Proxies::default(),
            in_sight: None,
            coming: None,
            tally: Tally::default(),
        }
    }

    /// The play head.
    pub fn transport(&self) -> &Transport {
        &self.transport
    }

    /// What became of the frames that came due.
    pub fn tally(&self) -> &Tally {
        &self.tally
    }

    /// Counts anew from here on.
    pub fn count_anew(&mut self, now: Duration) {
        self.tally = Tally { since: now, ..Tally::default() };
    }

    /// Whether the frame on which the play head stands is in sight, whole, or known not to come.
    pub fn is_at_rest(&self, now: Duration) -> bool {
        let wanted = self.stand_in(self.transport.number(now)).map(|source| InSight { source, share: Share::Whole });
        !self.transport.plays() && self.in_sight == wanted
    }

    /// How large frames are played.
    pub fn share(&self) -> Share {
        self.proxies.share()
    }

    /// Moves or turns the play head. What was to be shown before is forgotten.
    pub fn change<T>(&mut self, now: Duration, change: impl FnOnce(&mut Transport, Duration) -> T) -> T {
        self.settle(now);
        let before = self.transport.clone();
        let number = self.transport.due(now).filter(|due| due.step < self.settled).map(|due| due.number);
        if self.pace == Pace::Most && self.transport.plays() {
            // Without a clock, the play head is on the last frame that was shown.
            let at = self.settled.checked_sub(1).and_then(|step| self.transport.after(step));
            let at = at.unwrap_or(self.transport.number(now));
            self.transport.scrub(at);
            self.transport.play(now);
        }
        let done = change(&mut self.transport, now);
        if self.transport != before {
            self.begin_anew();
            if self.pace == Pace::Clock && number.is_some() && self.transport.due(now).map(|due| due.number) == number {
                // The frame that is due is in sight already.
                (self.next, self.settled) = (1, 1);
            }
        }
        done
    }

    /// What is in sight no longer holds, since the chain is another one.
    pub fn redraw(&mut self) {
        self.in_sight = None;
        let settled = self.settled;
        self.begin_anew();
        if self.transport.plays() {
            // What became of the frames before is known.
            (self.next, self.settled) = (settled, settled);
        }
    }

    /// While it plays, what lies ready beyond the next frame is computed anew; what is being computed stays.
    pub fn compute_anew(&mut self, now: Duration) {
        self.settle(now);
        let soon = match (self.pace, self.transport.due(now)) {
            (Pace::Clock, Some(due)) => due.step + 1,
            _ => self.settled,
        };
        let is_soon = |ready: &Ready<P>| matches!(ready.task.purpose, Purpose::Play(step) if step <= soon);
        // Frames on their way come after those that lie ready: while there are any, these are the next ones.
        if self.under_way == 0 {
            self.ready.retain(is_soon);
            let last = self.ready.back().map(|ready| ready.task.purpose);
            self.next = match last {
                Some(Purpose::Play(step)) => step + 1,
                _ => self.settled,
            };
        }
    }

    fn begin_anew(&mut self) {
        self.run += 1;
        (self.next, self.settled, self.coming) = (0, 0, None);
        self.ready.clear();
    }

    /// The frame to compute next; none where enough is under way or all is in sight.
    pub fn task(&self, now: Duration) -> Option<Task> {
        if self.under_way + self.ready.len() >= AHEAD {
            return None;
        }
        if !self.transport.plays() {
            let number = self.transport.number(now);
            let source = self.stand_in(number)?;
            let task = Task { number, source, share: Share::Whole, purpose: Purpose::Still, run: self.run };
            let done = self.in_sight == Some(InSight { source, share: Share::Whole });
            return Some(task).filter(|_| !done && self.next == 0);
        }
        let step = self.next.max(match self.pace {
            Pace::Clock => self.first_in_time(now)?,
            Pace::Most => 0,
        });
        let number = self.transport.after(step)?;
        let source = self.stand_in(number)?;
        let share = if self.pace == Pace::Clock { self.share() } else { Share::Whole };
        Some(Task { number, source, share, purpose: Purpose::Play(step), run: self.run })
    }

    /// Until when that task is the right one; none where time does not change that.
    pub fn holds_until(&self, task: &Task) -> Option<Duration> {
        match (task.purpose, self.pace) {
            (Purpose::Play(step), Pace::Clock) => {
                Some(self.transport.begins(step.checked_add(1)?)?.saturating_sub(median(&self.took)))
            }
            _ => None,
        }
    }

    /// The frame from which on files are to be read, the task's own being at hand or not. Where reading does not keep up,
    /// a frame that is begun when it is due only ever comes too late: the play head of reading is then so far ahead of
    /// the clock as a frame takes to be read, `read`, and to become ready, and a period, since it is moved about once a
    /// period.
    pub fn reads_from(&self, now: Duration, task: &Task, at_hand: bool, read: Duration) -> i64 {
        let (Purpose::Play(step), Pace::Clock, false) = (task.purpose, self.pace, at_hand) else { return task.source };
        let ready = now + read + median(&self.took) + self.transport.rate().period();
        let reachable = self.transport.due(ready).map_or(step, |due| due.step.max(step));
        self.transport.after(reachable).and_then(|number| self.stand_in(number)).unwrap_or(task.source)
    }

    /// A frame nearer to the one that is waited for than what is in sight: of those at hand, `nearest`.
    pub fn meanwhile(&self, task: &Task, nearest: i64) -> Option<Task> {
        let seen = self.coming.or(self.in_sight.map(|seen| seen.source));
        let nearer = seen.is_none_or(|seen| nearest.abs_diff(task.source) < seen.abs_diff(task.source));
        let meanwhile = Task { source: nearest, purpose: Purpose::Meanwhile, ..*task };
        Some(meanwhile).filter(|_| task.purpose == Purpose::Still && nearer && task.run == self.run)
    }

    /// Somebody computes it; false where it is wanted no more.
    pub fn begin(&mut self, task: &Task) -> bool {
        if task.run != self.run {
            return false;
        }
        self.under_way += 1;
        match task.purpose {
            Purpose::Play(step) => self.next = step + 1,
            Purpose::Still => self.next = 1,
            Purpose::Meanwhile => self.coming = Some(task.source),
        }
        true
    }

    /// It is computed. From beginning to end it took `took`, of which the machine was kept busy for `cost`.
    pub fn done(&mut self, task: Task, picture: Result<P, String>, took: Duration, cost: Duration) {
        self.under_way = self.under_way.saturating_sub(1);
        if let (Purpose::Play(_), true) = (task.purpose, picture.is_ok()) {
            if task.share == self.share() {
                if self.took.len() == LATELY {
                    self.took.pop_front();
                }
                self.took.push_back(took);
            }
            self.proxies.cost(task.share, cost);
        }
        if task.run == self.run {
            self.ready.push_back(Ready { task, picture });
        }
    }

    /// The frame to be shown now, if one is due and ready. Asked again at once, it gives the next one.
    pub fn show(&mut self, now: Duration) -> Option<Shown<P>> {
        self.settle(now);
        let shown = match self.ready.front()?.task.purpose {
            Purpose::Still | Purpose::Meanwhile => self.ready.pop_front()?,
            Purpose::Play(step) if self.pace == Pace::Most => {
                self.settled = step + 1;
                self.ready.pop_front()?
            }
            Purpose::Play(step) => {
                if step != self.transport.due(now)?.step {
                    return None;
                }
                self.settled = step + 1;
                self.proxies.due(now, true);
                self.ready.pop_front()?
            }
        };
        let Ready { task, picture } = shown;
        let delay = match (task.purpose, self.pace) {
            (Purpose::Play(step), Pace::Clock) => now.saturating_sub(self.transport.begins(step).unwrap_or(now)),
            _ => Duration::ZERO,
        };
        if let Purpose::Play(_) = task.purpose {
            match &picture {
                Err(_) => self.tally.failed += 1,
                Ok(_) if task.source != task.number => self.tally.held += 1,
                Ok(_) => self.tally.shown += 1,
            }
            if picture.is_ok() {
                self.tally.delayed(delay);
            }
        }
        // A frame that failed is not tried again while the play head stands on it.
        self.in_sight = Some(InSight { source: task.source, share: task.share });
        Some(Shown { task, delay, picture })
    }

    /// When there is something to show, to count or to end, if nothing else happens; none where it stands still.
    pub fn wake(&self, now: Duration) -> Option<Duration> {
        let due = self.transport.due(now)?;
        (self.pace == Pace::Clock).then(|| self.transport.begins(due.step + 1)).flatten()
    }

    /// Counts what came due and was not shown in time, and stands still where play is over.
    pub fn settle(&mut self, now: Duration) {
        let Some(due) = self.transport.due(now) else { return };
        if self.pace == Pace::Most {
            if self.transport.after(self.settled).is_none() {
                self.transport.scrub(self.settled.checked_sub(1).and_then(|at| self.transport.after(at)).unwrap_or(0));
                self.begin_anew();
            }
            return;
        }
        let over = self.transport.clone().settle(now);
        let past = if over { due.step + 1 } else { due.step };
        while self.ready.front().is_some_and(|ready| matches!(ready.task.purpose, Purpose::Play(step) if step < past)) {
            self.ready.pop_front();
        }
        let dropped = past.saturating_sub(self.settled);
        self.tally.dropped += dropped;
        self.settled = self.settled.max(past);
        // A second full of them says as much as an hour.
        for _ in 0..dropped.min(100) {
            self.proxies.due(now, false);
        }
        if over {
            self.transport.settle(now);
            self.begin_anew();
        } else if let Some(share) = self.proxies.choose(now, self.transport.rate().period()) {
            let at = now.saturating_sub(self.tally.since);
            self.tally.sizes.push(Change { at, frame: due.number, share });
            // What the larger ones took says nothing of these.
            self.took.clear();
        }
    }

    /// The first step whose time is not over by the time that it can be ready.
    fn first_in_time(&self, now: Duration) -> Option<u64> {
        Some(self.transport.due(now + median(&self.took))?.step)
    }

    /// The frame that is shown for a number: the nearest before it that there is, or the first of all.
    fn stand_in(&self, number: i64) -> Option<i64> {
        let up_to = self.numbers.partition_point(|one| *one <= number);
        self.numbers.get(up_to.saturating_sub(1)).copied()
    }
}

fn median(times: &VecDeque<Duration>) -> Duration {
    let mut sorted: Vec<Duration> = times.iter().copied().collect();
    sorted.sort_unstable();
    sorted.get(sorted.len() / 2).copied().unwrap_or_default()
}

#[cfg(test)]
mod tests;
