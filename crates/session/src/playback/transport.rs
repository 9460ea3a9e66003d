//! Which frame is due: the play head and its clock. No threads, no frames, no clock of its own.
//!
//! Since play began at some time `t` on some frame, the frame due at `now` is the one after
//! `floor((now - t) * rate)` steps. Nothing is added up, so nothing drifts, in loops and over hours: what is late is
//! left out, and the clock never waits for it.

use std::ops::RangeInclusive;
use std::time::Duration;

use media::ahead::{Direction, Position};

use super::Rate;

/// The play head: where it stands, or since when it plays from where.
///
/// Every `now` is a time since some fixed beginning and never runs backwards.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Transport {
    span: RangeInclusive<i64>,
    range: RangeInclusive<i64>,
    rate: Rate,
    direction: Direction,
    looped: bool,
    /// Where it stands; while it plays, the frame on which play began.
    at: i64,
    /// When play began.
    since: Option<Duration>,
}

/// A frame that is due.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Due {
    /// How many steps after the frame on which play began; loops go on counting.
    pub step: u64,
    /// Its number.
    pub number: i64,
}

impl Transport {
    /// Stands on the first frame of `span`, which also is in and out; plays forward, once.
    pub fn new(span: RangeInclusive<i64>, rate: Rate) -> Self {
        let at = *span.start();
        let end = at.max(*span.end());
        let span = at..=end;
        Self { range: span.clone(), span, rate, direction: Direction::Forward, looped: false, at, since: None }
    }

    /// The numbers that can be stood on.
    pub fn span(&self) -> RangeInclusive<i64> {
        self.span.clone()
    }

    /// In and out point, both played.
    pub fn range(&self) -> RangeInclusive<i64> {
        self.range.clone()
    }

    /// Frames a second.
    pub fn rate(&self) -> Rate {
        self.rate
    }

    /// Which way.
    pub fn direction(&self) -> Direction {
        self.direction
    }

    /// Whether play goes on at the other end.
    pub fn looped(&self) -> bool {
        self.looped
    }

    /// Whether it plays. Where play is over, [`Transport::settle`] says so.
    pub fn plays(&self) -> bool {
        self.since.is_some()
    }

    /// Frames between in and out.
    pub fn frames(&self) -> u64 {
        self.range.end().abs_diff(*self.range.start()).saturating_add(1)
    }

    /// Begins to play on the frame it stands on. Outside the range, and at the end of play that is not looped, it
    /// begins at the beginning.
    pub fn play(&mut self, now: Duration) {
        if self.since.is_some() {
            return;
        }
        let outside = !self.range.contains(&self.at);
        if outside || (!self.looped && self.steps_left() == 0) {
            self.at = self.beginning();
        }
        self.since = Some(now);
    }

    /// Stands on the frame that is due.
    pub fn stop(&mut self, now: Duration) {
        self.at = self.number(now);
        self.since = None;
    }

    /// Stops, and goes so many frames on by number: over the ends of the range where it loops, else up to the ends of all.
    pub fn step(&mut self, now: Duration, by: i64) {
        self.stop(now);
        let to = i128::from(self.at) + i128::from(by);
        let inside = self.range.contains(&self.at);
        self.at = if self.looped && inside {
            let (first, frames) = (i128::from(*self.range.start()), i128::from(self.frames()));
            to_number(first + (to - first).rem_euclid(frames))
        } else {
            to_number(to).clamp(*self.span.start(), *self.span.end())
        };
    }

    /// Stops, and stands on a frame.
    pub fn scrub(&mut self, to: i64) {
        self.at = to.clamp(*self.span.start(), *self.span.end());
        self.since = None;
    }

    /// Another rate; the frame that is due begins its period anew.
    pub fn set_rate(&mut self, now: Duration, rate: Rate) {
        self.at = self.number(now);
        self.since = self.since.map(|_| now);
        self.rate = rate;
    }

    /// The other way, from the frame that is due.
    pub fn set_direction(&mut self, now: Duration, direction: Direction) {
        self.rebase(now);
        self.direction = direction;
    }

    /// Whether play goes on at the other end.
    pub fn set_looped(&mut self, now: Duration, looped: bool) {
        self.rebase(now);
        self.looped = looped;
    }

    /// Other in and out points, cut to the span; where out would come before in, both are in. Play goes on, at the
    /// beginning where the frame that is due lies outside.
    pub fn set_range(&mut self, now: Duration, range: RangeInclusive<i64>) {
        self.rebase(now);
        let inside = |number: i64| number.clamp(*self.span.start(), *self.span.end());
        let first = inside(*range.start());
        self.range = first..=inside(*range.end()).max(first);
        if self.since.is_some() && !self.range.contains(&self.at) {
            (self.at, self.since) = (self.beginning(), Some(now));
        }
    }

    /// Stands still where play has come to its end; says whether it just did.
    pub fn settle(&mut self, now: Duration) -> bool {
        let Some(since) = self.since else { return false };
        let over = !self.looped && self.rate.frames_in(now.saturating_sub(since)) > self.steps_left();
        if over {
            self.stop(now);
        }
        over
    }

    /// The frame that is due; none where it stands still. After the end of play that is the last one.
    pub fn due(&self, now: Duration) -> Option<Due> {
        let step = self.rate.frames_in(now.saturating_sub(self.since?));
        let step = if self.looped { step } else { step.min(self.steps_left()) };
        self.after(step).map(|number| Due { step, number })
    }

    /// The number of the frame that is due, or that it stands on.
    pub fn number(&self, now: Duration) -> i64 {
        self.due(now).map_or(self.at, |due| due.number)
    }

    /// The number after so many steps; none where play is over by then.
    pub fn after(&self, step: u64) -> Option<i64> {
        if !self.looped && step > self.steps_left() {
            return None;
        }
        let step = i128::from(step % if self.looped { self.frames() } else { u64::MAX });
        let (first, frames) = (i128::from(*self.range.start()), i128::from(self.frames()));
        let place = i128::from(self.at) - first;
        let place = match self.direction {
            Direction::Forward => place + step,
            Direction::Backward => place - step,
        };
        Some(to_number(first + if self.looped { place.rem_euclid(frames) } else { place }))
    }

    /// When the frame after so many steps comes due; none where it stands still.
    pub fn begins(&self, step: u64) -> Option<Duration> {
        Some(self.since?.saturating_add(self.rate.begins(step)))
    }

    /// The play head on another frame, as reading ahead wants it.
    pub fn position(&self, at: i64) -> Position {
        Position { at, range: self.range(), direction: self.direction, looped: self.looped }
    }

    fn beginning(&self) -> i64 {
        match self.direction {
            Direction::Forward => *self.range.start(),
            Direction::Backward => *self.range.end(),
        }
    }

    /// Steps to the end of the range.
    fn steps_left(&self) -> u64 {
        match self.direction {
            Direction::Forward => self.range.end().abs_diff(self.at.min(*self.range.end())),
            Direction::Backward => self.range.start().abs_diff(self.at.max(*self.range.start())),
        }
    }

    /// Counts anew from the frame that is due, since when it is.
    fn rebase(&mut self, now: Duration) {
        if let (Some(due), Some(since)) = (self.due(now), self.since) {
            self.at = due.number;
            self.since = Some(since.saturating_add(self.rate.begins(due.step)));
        }
    }
}

/// Numbers come from sums of numbers that were cut to the span or to the range; the cut is for steps out of the world.
fn to_number(number: i128) -> i64 {
    i64::try_from(number).unwrap_or(if number < 0 { i64::MIN } else { i64::MAX })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const MS: fn(u64) -> Duration = Duration::from_millis;

    fn at_25(span: RangeInclusive<i64>) -> Transport {
        Transport::new(span, Rate::new(25, 1).unwrap())
    }

    fn numbers(transport: &Transport, times: impl IntoIterator<Item = u64>) -> Vec<i64> {
        times.into_iter().map(|time| transport.number(MS(time))).collect()
    }

    #[test]
    fn a_frame_is_due_for_its_period() {
        let mut transport = at_25(1001..=1003);
        assert_eq!((transport.number(MS(900)), transport.due(MS(900))), (1001, None));
        transport.play(MS(1000));
        assert_eq!(
            numbers(&transport, [1000, 1039, 1040, 1079, 1080, 1119, 1120, 9999])[..],
            [1001, 1001, 1002, 1002, 1003, 1003, 1003, 1003]
        );
        assert_eq!(transport.begins(2), Some(MS(1080)));
        assert!(!transport.clone().settle(MS(1119)), "the last one stands for its period too");
        assert!(transport.settle(MS(1120)) && !transport.plays());
        assert_eq!(transport.number(MS(1120)), 1003);
        // Once more from the beginning.
        transport.play(MS(2000));
        assert_eq!(transport.number(MS(2000)), 1001);
    }

    #[test]
    fn loops_and_the_way_back() {
        let mut transport = at_25(1..=9);
        transport.set_range(MS(0), 3..=5);
        transport.set_looped(MS(0), true);
        transport.play(MS(0));
        assert_eq!(numbers(&transport, [0, 40, 80, 120, 160, 200, 240]), [3, 4, 5, 3, 4, 5, 3]);
        // On 4, the other way round: the frame keeps the time it has had.
        transport.set_direction(MS(170), Direction::Backward);
        assert_eq!(numbers(&transport, [170, 199, 200, 240, 280]), [4, 4, 3, 5, 4]);
        transport.set_looped(MS(240), false);
        assert_eq!(numbers(&transport, [240, 280, 320, 360]), [5, 4, 3, 3]);
        assert!(transport.settle(MS(360)));
        assert_eq!(transport.after(1), None);
    }

    #[test]
    fn steps_and_scrubs_stop() {
        let mut transport = at_25(1..=9);
        transport.play(MS(0));
        transport.step(MS(80), 2);
        assert_eq!((transport.number(MS(500)), transport.plays()), (5, false));
        transport.step(MS(500), i64::MAX);
        assert_eq!(transport.number(MS(500)), 9);
        transport.step(MS(500), i64::MIN);
        assert_eq!(transport.number(MS(500)), 1);
        transport.set_looped(MS(500), true);
        transport.step(MS(500), -1);
        assert_eq!(transport.number(MS(500)), 9);
        transport.step(MS(500), i64::MAX);
        assert_eq!(transport.number(MS(500)), 1 + (8 + i64::MAX % 9) % 9);
        transport.scrub(77);
        assert_eq!(transport.number(MS(500)), 9);
        // Outside of in and out, play begins at in, and a step goes on from where it is.
        transport.set_range(MS(500), 3..=4);
        transport.step(MS(500), -1);
        assert_eq!(transport.number(MS(500)), 8);
        transport.play(MS(600));
        assert_eq!(transport.number(MS(600)), 3);
        // One frame, in and out alike, in behind out: it stands there and plays on.
        transport.set_range(MS(600), RangeInclusive::new(7, 2));
        assert_eq!((transport.range(), transport.number(MS(5000))), (7..=7, 7));
        assert!(!transport.settle(MS(5000)));
    }

    #[test]
    fn another_rate_does_not_jump() {
        let mut transport = at_25(0..=1000);
        transport.play(MS(0));
        transport.set_rate(MS(100), Rate::new(50, 1).unwrap());
        assert_eq!(numbers(&transport, [100, 119, 120, 140]), [2, 2, 3, 4]);
    }

    proptest! {
        /// Whatever the rate, the loop and the hour: the frame due is that of the steps counted from the beginning in
        /// whole numbers, asked in any order and however often.
        #[test]
        fn the_clock_never_slips(
            frames in 1u32..=240_000, seconds in prop::sample::select(vec![1u32, 1001]), length in 1i64..5000,
            at in 0i64..5000, back in any::<bool>(),
            times in prop::collection::vec(0u64..48 * 3600 * 1000, 1..40),
        ) {
            prop_assume!(frames <= 240 * seconds);
            let rate = Rate::new(frames, seconds).unwrap();
            let mut transport = Transport::new(0..=length - 1, rate);
            transport.set_looped(MS(0), true);
            transport.set_direction(MS(0), if back { Direction::Backward } else { Direction::Forward });
            let at = at % length;
            transport.scrub(at);
            let begun = MS(12_345);
            transport.play(begun);
            for time in times {
                let steps = i128::from(time) * i128::from(frames) / (1000 * i128::from(seconds));
                let place = i128::from(at) + if back { -steps } else { steps };
                let due = transport.due(begun + MS(time)).unwrap();
                prop_assert_eq!(i128::from(due.number), place.rem_euclid(i128::from(length)));
                prop_assert_eq!(i128::from(due.step), steps);
                prop_assert_eq!(transport.after(due.step), Some(due.number));
                prop_assert!(transport.begins(due.step).unwrap() <= begun + MS(time));
                prop_assert!(transport.begins(due.step + 1).unwrap() > begun + MS(time));
                prop_assert!(!transport.settle(begun + MS(time)));
            }
        }

        /// Play that is not looped comes to its last frame, stands there its period, and ends.
        #[test]
        fn play_ends_on_the_last_frame(length in 1i64..500, at in 0i64..500, back in any::<bool>(), fast in 1u32..120) {
            let mut transport = Transport::new(0..=length - 1, Rate::new(fast * 1000, 1001).unwrap());
            transport.set_direction(MS(0), if back { Direction::Backward } else { Direction::Forward });
            transport.scrub(at % length);
            transport.play(MS(7));
            let (begun, last) = (transport.number(MS(7)), if back { 0 } else { length - 1 });
            let steps = begun.abs_diff(last);
            prop_assert_eq!(transport.after(steps), Some(last));
            prop_assert_eq!(transport.after(steps + 1), None);
            let end = transport.begins(steps + 1).unwrap();
            prop_assert!(!transport.clone().settle(end - Duration::from_nanos(1)));
            prop_assert!(transport.settle(end));
            prop_assert_eq!(transport.number(end), last);
        }

        /// Turning, looping and other rates in mid-play never move the frame that is due.
        #[test]
        fn changes_in_mid_play_keep_the_frame(changes in prop::collection::vec((0u8..3, 1u64..3000, 1u32..120), 1..30)) {
            let mut transport = at_25(1..=97);
            transport.set_looped(MS(0), true);
            transport.play(MS(0));
            let mut now = MS(0);
            for (what, wait, number) in changes {
                now += MS(wait);
                let before = transport.number(now);
                match what {
                    0 => transport.set_rate(now, Rate::new(number, 1).unwrap()),
                    1 => transport.set_direction(now, [Direction::Forward, Direction::Backward][number as usize % 2]),
                    _ => transport.set_range(now, before - i64::from(number)..=before + i64::from(number)),
                }
                prop_assert_eq!(before, transport.number(now));
                prop_assert!(transport.plays() && transport.range().contains(&before));
            }
        }
    }
}
