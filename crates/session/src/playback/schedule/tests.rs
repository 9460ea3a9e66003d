//! A machine of known speed, played on a clock that is told.

use media::ahead::Direction;
use proptest::prelude::*;

use super::*;

const MS: fn(u64) -> Duration = Duration::from_millis;

/// One picture: the number of the frame it shows, and how large.
type Picture = (i64, Share);

/// Reads on so many threads, and computes one frame after the other.
struct Machine {
    schedule: Schedule<Picture>,
    now: Duration,
    /// Frames being read, with when they will be there.
    reading: Vec<(i64, Duration)>,
    at_hand: Vec<i64>,
    threads: usize,
    read: Duration,
    /// What is known of that: nothing before the first one is there.
    known: Duration,
    /// What computing a whole frame takes; a smaller one accordingly less.
    compute: Duration,
    computing: Option<(Task, Duration, Duration)>,
    reads_from: i64,
    /// When, which number, which frame.
    seen: Vec<(Duration, Task)>,
}

impl Machine {
    fn new(numbers: Vec<i64>, threads: usize, read: Duration, compute: Duration, pace: Pace) -> Self {
        let schedule = Schedule::new(numbers, Rate::new(25, 1).unwrap(), pace);
        let (reading, at_hand, seen) = (Vec::new(), Vec::new(), Vec::new());
        let now = MS(1000);
        Self {
            schedule,
            now,
            reading,
            at_hand,
            threads,
            read,
            known: MS(0),
            compute,
            computing: None,
            reads_from: 0,
            seen,
        }
    }

    /// A millisecond of it.
    fn tick(&mut self) {
        let now = self.now;
        let (done, reading): (Vec<_>, Vec<_>) = self.reading.iter().partition(|(_, at)| *at <= now);
        if !done.is_empty() {
            self.known = self.read;
        }
        self.at_hand.extend(done.iter().map(|(number, _)| *number));
        self.reading = reading;
        if let Some((task, begun, ready)) = self.computing.filter(|(_, _, ready)| *ready <= now) {
            self.computing = None;
            self.schedule.done(task, Ok((task.source, task.share)), now - begun, ready - begun);
        }
        while let Some(shown) = self.schedule.show(now) {
            self.seen.push((now, shown.task));
        }
        if self.computing.is_none()
            && let Some(task) = self.schedule.task(now)
        {
            let at_hand = self.at_hand.contains(&task.source);
            self.reads_from = self.schedule.reads_from(now, &task, at_hand, self.known);
            if at_hand && self.schedule.begin(&task) {
                let cost = self.compute / task.share.pixels().pow(2);
                self.computing = Some((task, now, now + cost));
            }
        }
        // Threads that are free read ahead of the head, in its direction.
        let position = self.schedule.transport().position(self.reads_from);
        for by in 0..20 {
            let number = match position.direction {
                Direction::Forward => position.at + by,
                Direction::Backward => position.at - by,
            };
            let known = self.at_hand.contains(&number) || self.reading.iter().any(|(one, _)| *one == number);
            if !known && self.schedule.numbers.contains(&number) && self.reading.len() < self.threads {
                self.reading.push((number, now + self.read));
            }
        }
        self.now += MS(1);
    }

    fn run(&mut self, milliseconds: u64) {
        for _ in 0..milliseconds {
            self.tick();
        }
    }

    fn change(&mut self, change: impl FnOnce(&mut Transport, Duration)) {
        self.schedule.change(self.now, change);
    }

    /// What must be true of everything that was ever shown while the clock ran without a change.
    fn nothing_was_shown_late(&self, begun: Duration, first: i64) {
        for (at, task) in self.seen.iter().filter(|(at, _)| *at >= begun) {
            let due = first + (at.saturating_sub(begun).as_millis() / 40) as i64;
            assert_eq!(task.number, due, "at {at:?}");
        }
    }
}

fn numbers(seen: &[(Duration, Task)]) -> Vec<i64> {
    seen.iter().map(|(_, task)| task.number).collect()
}

#[test]
fn a_machine_that_keeps_up_shows_every_frame_as_it_comes_due() {
    let mut machine = Machine::new((1..=100).collect(), 2, MS(30), MS(10), Pace::Clock);
    machine.run(200);
    assert_eq!(numbers(&machine.seen), [1], "a still");
    let begun = machine.now;
    machine.change(Transport::play);
    machine.run(5000);
    machine.nothing_was_shown_late(begun, 1);
    let tally = machine.schedule.tally();
    assert_eq!((tally.due(), tally.shown, tally.dropped), (100, 100, 0));
    assert!(tally.delay(0.95) <= Some(MS(1)), "{:?}", tally.delay(0.95));
    assert!(!machine.schedule.transport().plays());
    assert_eq!(numbers(&machine.seen)[1..], (1..=100).collect::<Vec<_>>()[..], "and no still of what is in sight");
}

/// Reading a frame takes three periods on two threads: two of three can be shown, and they are, in time.
#[test]
fn where_reading_does_not_keep_up_frames_are_dropped_and_none_is_late() {
    let mut machine = Machine::new((1..=500).collect(), 2, MS(120), MS(4), Pace::Clock);
    let begun = machine.now;
    machine.change(Transport::play);
    machine.run(20_010);
    machine.nothing_was_shown_late(begun, 1);
    let tally = machine.schedule.tally();
    assert_eq!(tally.due(), 500);
    assert!((300..=340).contains(&tally.shown), "two thirds of 500: {}", tally.shown);
    assert_eq!(tally.sizes, [], "a smaller picture would be read no faster");
}

#[test]
fn where_computing_does_not_keep_up_the_picture_becomes_smaller_and_says_so() {
    let mut machine = Machine::new((1..=500).collect(), 4, MS(40), MS(70), Pace::Clock);
    let begun = machine.now;
    machine.change(Transport::play);
    machine.run(20_010);
    machine.nothing_was_shown_late(begun, 1);
    let tally = machine.schedule.tally().clone();
    assert_eq!(tally.sizes.iter().map(|change| change.share).collect::<Vec<_>>(), [Share::Half]);
    assert!(tally.shown > 480, "{tally:?}");
    let halves = machine.seen.iter().filter(|(_, task)| task.share == Share::Half).count();
    assert!(halves > 470, "{halves}");
    // At the end it stands still, and the whole picture comes.
    machine.run(200);
    let (_, last) = machine.seen.last().unwrap();
    assert_eq!((last.number, last.share, last.purpose), (500, Share::Whole, Purpose::Still));
}

#[test]
fn missing_numbers_are_held_and_counted_apart() {
    for back in [false, true] {
        let mut machine = Machine::new(vec![1, 2, 5, 6], 2, MS(10), MS(5), Pace::Clock);
        if back {
            machine.change(|transport, now| transport.set_direction(now, Direction::Backward));
            machine.change(|transport, _| transport.scrub(6));
        }
        machine.run(100);
        machine.change(Transport::play);
        machine.run(300);
        let sources: Vec<(i64, i64)> = machine.seen[1..].iter().map(|(_, task)| (task.number, task.source)).collect();
        let mut wanted = vec![(1, 1), (2, 2), (3, 2), (4, 2), (5, 5), (6, 6)];
        if back {
            wanted.reverse();
        }
        assert_eq!(sources, wanted);
        let tally = machine.schedule.tally();
        assert_eq!((tally.shown, tally.held, tally.dropped), (4, 2, 0));
    }
}

#[test]
fn as_fast_as_it_goes_shows_every_frame_whole() {
    let mut machine = Machine::new((1..=50).collect(), 2, MS(30), MS(70), Pace::Most);
    machine.change(Transport::play);
    machine.run(4000);
    assert_eq!(numbers(&machine.seen), (1..=50).collect::<Vec<_>>());
    assert!(machine.seen.iter().all(|(_, task)| task.share == Share::Whole));
    assert_eq!((machine.schedule.tally().shown, machine.schedule.tally().dropped), (50, 0));
    assert!(!machine.schedule.transport().plays());
}

#[test]
fn a_scrub_shows_the_nearest_at_hand_and_then_the_one() {
    let mut machine = Machine::new((1..=100).collect(), 1, MS(50), MS(5), Pace::Clock);
    machine.run(400);
    machine.change(|transport, _| transport.scrub(60));
    let task = machine.schedule.task(machine.now).unwrap();
    assert_eq!((task.number, task.source, task.purpose), (60, 60, Purpose::Still));
    // Frame 1 is in sight: 8 is nearer, 0 is not.
    let meanwhile = machine.schedule.meanwhile(&task, 8).unwrap();
    assert_eq!((meanwhile.number, meanwhile.source, meanwhile.purpose), (60, 8, Purpose::Meanwhile));
    assert_eq!(machine.schedule.meanwhile(&task, 0), None);
    assert!(machine.schedule.begin(&meanwhile));
    // A later scrub makes both of no use.
    machine.change(|transport, _| transport.scrub(30));
    machine.schedule.done(meanwhile, Ok((8, Share::Whole)), MS(5), MS(5));
    assert_eq!(machine.schedule.show(machine.now), None);
    assert!(!machine.schedule.begin(&task));
    machine.run(200);
    assert_eq!(machine.seen.last().unwrap().1.source, 30);
    let before = machine.seen.len();
    machine.run(200);
    assert_eq!(machine.seen.len(), before, "what is in sight is not shown again");
    machine.schedule.redraw();
    machine.run(200);
    assert_eq!(machine.seen.len(), before + 1, "but after a change of the chain");
}

#[test]
fn a_frame_that_fails_is_shown_as_such_and_play_goes_on() {
    let mut schedule: Schedule<()> = Schedule::new((1..=3).collect(), Rate::new(25, 1).unwrap(), Pace::Clock);
    schedule.change(MS(0), Transport::play);
    for (at, picture) in [(0, Ok(())), (40, Err("gone".to_string())), (80, Ok(()))] {
        let task = schedule.task(MS(at)).unwrap();
        assert!(schedule.begin(&task));
        schedule.done(task, picture.clone(), MS(1), MS(1));
        assert_eq!(schedule.show(MS(at)).unwrap().picture, picture);
    }
    schedule.settle(MS(120));
    let tally = schedule.tally();
    assert_eq!((tally.due(), tally.shown, tally.failed), (3, 2, 1));
}

#[test]
fn a_change_in_mid_play_counts_no_frame_twice() {
    let mut machine = Machine::new((1..=100).collect(), 2, MS(10), MS(5), Pace::Clock);
    machine.run(300);
    machine.change(|transport, now| transport.set_looped(now, true));
    machine.run(100);
    machine.change(Transport::play);
    for _ in 0..10 {
        machine.run(130);
        machine.change(|transport, now| {
            let other =
                if transport.direction() == Direction::Forward { Direction::Backward } else { Direction::Forward };
            transport.set_direction(now, other);
        });
    }
    // 1300 ms are 32.5 periods.
    let tally = machine.schedule.tally();
    assert!((32..=33).contains(&tally.due()) && tally.dropped <= 1, "{tally:?}");
}

#[test]
fn a_setting_that_is_dragged_while_it_plays_drops_nothing_and_is_seen_soon() {
    let mut machine = Machine::new((1..=100).collect(), 2, MS(10), MS(5), Pace::Clock);
    machine.run(300);
    machine.change(Transport::play);
    for _ in 0..60 {
        machine.run(16);
        let before = machine.schedule.next;
        machine.schedule.compute_anew(machine.now);
        let due = machine.schedule.transport().due(machine.now).unwrap().step;
        assert!(machine.schedule.under_way > 0 || machine.schedule.next.min(before) <= due + 2);
    }
    // A picture that was lost with its device is another matter: nothing of it is worth keeping.
    machine.schedule.redraw();
    machine.run(100);
    let tally = machine.schedule.tally();
    assert!((26..=27).contains(&tally.due()) && tally.dropped <= 1, "{tally:?}");
    assert!(machine.seen.windows(2).all(|pair| pair[0].1.number < pair[1].1.number || pair[0].1.number == 1));
}

proptest! {
    /// Whatever the machine: each frame that came due is counted once, none is shown outside its period, and the clock has
    /// gone on as if nothing had happened.
    #[test]
    fn every_frame_is_counted_once_and_none_is_late(
        threads in 1usize..5, read in 1u64..300, compute in 1u64..300, length in 1i64..60, duration in 100u64..4000,
    ) {
        let mut machine = Machine::new((1..=length).collect(), threads, MS(read), MS(compute), Pace::Clock);
        let begun = machine.now;
        machine.change(Transport::play);
        machine.run(duration);
        let played = machine.now - begun - MS(1);
        for (at, task) in &machine.seen {
            if let Purpose::Play(step) = task.purpose {
                prop_assert_eq!((*at - begun).as_millis() as u64 / 40, step);
                prop_assert_eq!(task.number, 1 + step as i64);
            }
        }
        machine.schedule.settle(begun + played);
        let periods = played.as_millis() as u64 / 40;
        let tally = machine.schedule.tally();
        // The one that is due now may be counted or not.
        let over = periods.min(length as u64);
        prop_assert!((over..=over + 1).contains(&tally.due()), "{} periods, {:?}", periods, tally);
        let shown = machine.seen.iter().filter(|(_, task)| matches!(task.purpose, Purpose::Play(_))).count();
        prop_assert_eq!(shown as u64, tally.shown);
    }

    /// Taking frames as slowly as it may, a machine still shows some of them.
    #[test]
    fn a_slow_machine_still_shows_frames(read in 1u64..400, compute in 1u64..150) {
        let mut machine = Machine::new((1..=250).collect(), 2, MS(read), MS(compute), Pace::Clock);
        machine.change(Transport::play);
        machine.run(10_000);
        let most = (10_000 / read * 2).min(250);
        prop_assert!(machine.schedule.tally().shown * 3 > most, "{:?} of {}", machine.schedule.tally(), most);
    }
}
