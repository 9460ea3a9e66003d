//! The shelf against a model of its promises, by every order of events that may come.

use std::collections::BTreeMap;
use std::ops::RangeInclusive;
use std::path::Path;
use std::sync::Arc;

use frame::{ByteOrder, Channels, Frame, Layout, NonFinite, Samples, Size};
use proptest::prelude::*;

use super::*;
use crate::ahead::{Direction, Position, Spent};
use crate::{About, MediaError};

/// Frames of the sequence; their numbers are the odd ones, so that each has a missing neighbour.
const FRAMES: usize = 24;
const LARGEST: u64 = 400;

fn picture(bytes: u64) -> Decoded {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let frame = Frame::new(Size::new(1, 1), layout, vec![0; bytes as usize], 0).unwrap();
    let (frame, about) = (Arc::new(frame), Arc::new(About::default()));
    Decoded { frame, about, replaced: NonFinite::default(), spent: Spent::default() }
}

fn failure() -> Failure {
    let error = Arc::new(MediaError::Missing { path: Path::new("a.1.dpx").to_owned() });
    Failure { error, spent: Spent::default() }
}

fn walk(at: i64, range: RangeInclusive<i64>, backward: bool, looped: bool) -> Walk {
    let numbers: Vec<i64> = (0..FRAMES as i64).map(|place| 2 * place + 1).collect();
    let direction = if backward { Direction::Backward } else { Direction::Forward };
    Walk::new(&numbers, &Position { at, range, direction, looped }, 3)
}

#[derive(Debug, Clone)]
enum Event {
    Want { at: i64, first: i64, last: i64, backward: bool, looped: bool },
    Ask(usize),
    Wait(usize),
    Fetch { place: usize, kept: bool },
    LetGo(usize),
    Begin,
    End { which: usize, bytes: u64, fails: bool },
    Cancel,
}

fn events(sizes: RangeInclusive<u64>) -> impl Strategy<Value = Vec<Event>> {
    let number = || -2i64..2 * FRAMES as i64 + 3;
    let place = || 0..FRAMES;
    let end = (0usize..8, sizes, prop::bool::weighted(0.1));
    let one = prop_oneof![
        2 => (number(), number(), number(), any::<bool>(), any::<bool>())
            .prop_map(|(at, first, last, backward, looped)| Event::Want { at, first, last, backward, looped }),
        2 => (number(), any::<bool>(), any::<bool>()).prop_map(|(at, backward, looped)| {
            Event::Want { at, first: 1, last: 2 * FRAMES as i64, backward, looped }
        }),
        3 => place().prop_map(Event::Ask),
        2 => place().prop_map(Event::Wait),
        4 => (place(), any::<bool>()).prop_map(|(place, kept)| Event::Fetch { place, kept }),
        3 => (0usize..8).prop_map(Event::LetGo),
        12 => Just(Event::Begin),
        12 => end.prop_map(|(which, bytes, fails)| Event::End { which, bytes, fails }),
        1 => Just(Event::Cancel),
    ];
    prop::collection::vec(one, 0..160)
}

/// The shelf with those who use it.
struct Room {
    shelf: Shelf,
    being_read: Vec<usize>,
    in_hands: Vec<(usize, Decoded)>,
    waiting: BTreeMap<usize, usize>,
    most_in_hands: u64,
}

impl Room {
    fn new(budget: u64) -> Room {
        let shelf = Shelf::new(FRAMES, budget);
        Room { shelf, being_read: vec![], in_hands: vec![], waiting: BTreeMap::new(), most_in_hands: 0 }
    }

    fn bytes_in_hands(&self) -> u64 {
        let frames: BTreeMap<usize, u64> = self.in_hands.iter().map(|(place, one)| (*place, one.bytes())).collect();
        frames.values().sum()
    }

    fn total(&self) -> u64 {
        self.shelf.held_bytes + self.shelf.reserved_bytes
    }

    fn begin(&mut self) -> Option<usize> {
        let held = self.shelf.held.clone();
        let begun = self.shelf.begin()?;
        assert!(!held.contains(&begun), "{begun} is read though it is held");
        assert!(!self.being_read.contains(&begun), "{begun} is read twice at a time");
        assert!(!self.shelf.cancelled);
        self.being_read.push(begun);
        Some(begun)
    }

    fn fetch(&mut self, place: usize, kept: bool) {
        if let Some(Ok(decoded)) = self.shelf.fetch(place)
            && kept
        {
            self.in_hands.push((place, decoded));
        }
        self.most_in_hands = self.most_in_hands.max(self.bytes_in_hands());
    }

    fn happen(&mut self, event: &Event) {
        match *event {
            Event::Want { at, first, last, backward, looped } => {
                self.shelf.want(walk(at, first..=last, backward, looped));
                if at.rem_euclid(2) == 1 && (1..2 * FRAMES as i64).contains(&at) {
                    self.shelf.ask(at as usize / 2);
                }
            }
            Event::Ask(place) if !self.shelf.cancelled => self.shelf.ask(place),
            Event::Wait(place) if !self.shelf.cancelled => {
                self.shelf.retry(place);
                self.shelf.wait(place);
                *self.waiting.entry(place).or_default() += 1;
            }
            Event::Fetch { place, kept } => self.fetch(place, kept),
            Event::LetGo(which) if which < self.in_hands.len() => drop(self.in_hands.swap_remove(which)),
            Event::Begin => drop(self.begin()),
            Event::End { which, bytes, fails } if which < self.being_read.len() => {
                let place = self.being_read.swap_remove(which);
                self.shelf.end(place, if fails { Err(failure()) } else { Ok(picture(bytes)) });
            }
            Event::Cancel => {
                self.shelf.cancel();
                self.waiting.clear();
            }
            _ => {}
        }
    }

    /// What must hold at any time.
    fn check(&self, budget: u64, before: u64, event: &Event) {
        let shelf = &self.shelf;
        let total = self.total();
        let exception = match event {
            // One frame beside what is in hands, or what was held without them already.
            Event::Begin | Event::End { .. } => total <= self.bytes_in_hands() + LARGEST,
            _ => false,
        };
        assert!(total <= budget || total <= before || exception, "{total} of {budget}, {before} before");
        assert!(shelf.peak <= budget.max(self.most_in_hands + LARGEST), "{} of {budget}", shelf.peak);
        for (place, decoded) in &self.in_hands {
            let kept = shelf.decoded(*place).is_some_and(|kept| Arc::ptr_eq(&kept.frame, &decoded.frame));
            assert!(kept, "{place} is in hands and no longer counted");
        }
        // All that follows from the slots is what it would be if it were made anew.
        let mut anew = Shelf { slots: shelf.slots.clone(), walk: shelf.walk.clone(), ..Shelf::new(FRAMES, 0) };
        anew.cursor = usize::MAX;
        (0..FRAMES).for_each(|place| anew.list(place));
        assert!(shelf.cursor <= anew.cursor, "{} is away before rank {}", anew.cursor, shelf.cursor);
        let sets = |shelf: &Shelf| {
            let Shelf { needed, to_read, held, idle, owed, failures, .. } = shelf;
            let sums = (shelf.held_bytes, shelf.reserved_bytes, shelf.under_way);
            format!("{needed:?} {to_read:?} {held:?} {idle:?} {owed:?} {failures:?} {sums:?}")
        };
        assert_eq!(sets(shelf), sets(&anew));
        let waiting: Vec<usize> = shelf.slots.iter().map(|slot| slot.waiting).collect();
        assert_eq!(
            waiting,
            (0..FRAMES).map(|place| self.waiting.get(&place).copied().unwrap_or(0)).collect::<Vec<_>>()
        );
    }

    /// Reads until nothing is left to be read, and whoever waits or asked gets the answer.
    fn settle(&mut self, bytes: u64) {
        // Each round answers somebody; beside that there are at most so many frames to read, some of them twice.
        for _ in 0..40 * FRAMES {
            let begun = self.begin().is_some();
            let ended = self.being_read.pop();
            if let Some(place) = ended {
                self.shelf.end(place, Ok(picture(bytes)));
            }
            let needed: Vec<usize> = self.shelf.needed.iter().copied().collect();
            for place in needed.into_iter().filter(|place| self.shelf.is_answered(*place)).collect::<Vec<_>>() {
                for _ in 0..self.waiting.remove(&place).unwrap_or(0) {
                    self.shelf.leave(place);
                }
                self.fetch(place, false);
            }
            if !begun && ended.is_none() && self.shelf.needed.is_empty() {
                return;
            }
        }
        panic!("still reading {:?}, needed {:?}", self.being_read, self.shelf.needed);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(600))]

    /// Frames of one size. In the end, what the play head reaches first is held, as much as the budget has room for.
    #[test]
    fn the_shelf_keeps_its_promises(events in events(100..=100), budget in 0u64..1600, at in 0usize..FRAMES, looped: bool) {
        let mut room = Room::new(budget);
        for event in &events {
            let before = room.total();
            room.happen(event);
            room.check(budget, before, event);
        }
        let kept = room.in_hands.clone();
        if !room.shelf.cancelled {
            room.settle(100);
        }
        room.in_hands.clear();
        drop(kept);
        let walk = walk(2 * at as i64 + 1, 1..=2 * FRAMES as i64, false, looped);
        room.shelf.want(walk.clone());
        room.shelf.ask(at);
        room.settle(100);
        prop_assert!(room.shelf.bytes() <= budget.max(100));
        let readable = (0..walk.worth_reading()).filter_map(|rank| walk.nth(rank))
            .filter(|place| !matches!(room.shelf.slots[*place].stage, Stage::Failed(_)));
        let expected: Vec<usize> = readable.take((budget / 100).max(1) as usize).collect();
        let missing: Vec<&usize> = expected.iter().filter(|place| !room.shelf.held.contains(place)).collect();
        prop_assert!(missing.is_empty(), "{missing:?} of {expected:?} not held, but {:?}", room.shelf.held);
    }

    /// Frames of any size: none may be what the one before was.
    #[test]
    fn sizes_may_change(events in events(10..=LARGEST), budget in 0u64..1600, bytes in 10u64..=LARGEST) {
        let mut room = Room::new(budget);
        for event in &events {
            let before = room.total();
            room.happen(event);
            room.check(budget, before, event);
        }
        if !room.shelf.cancelled {
            room.settle(bytes);
        }
    }
}

fn read_all(shelf: &mut Shelf, bytes: u64) -> Vec<usize> {
    let mut order = Vec::new();
    while let Some(place) = shelf.begin() {
        shelf.end(place, Ok(picture(bytes)));
        order.push(place);
        assert!(order.len() <= 4 * FRAMES, "reads in circles: {order:?}");
    }
    order
}

#[test]
fn what_is_reached_last_goes_first() {
    let mut shelf = Shelf::new(FRAMES, 600);
    shelf.want(walk(11, 1..=47, false, false));
    assert_eq!(read_all(&mut shelf, 100), [5, 6, 7, 8, 9, 10]);
    // One step on, one frame more: the one just left goes.
    shelf.want(walk(13, 1..=47, false, false));
    assert_eq!(read_all(&mut shelf, 100), [11]);
    assert_eq!(shelf.held().iter().copied().collect::<Vec<_>>(), [6, 7, 8, 9, 10, 11]);
    // Turned round: what lies ahead now is read nearest first, and what was ahead goes from its far end.
    shelf.want(walk(13, 1..=47, true, false));
    assert_eq!(read_all(&mut shelf, 100), [5, 4, 3, 2, 1]);
    assert_eq!(shelf.held().iter().copied().collect::<Vec<_>>(), [1, 2, 3, 4, 5, 6]);
    // A loop of three frames, and what is outside it stays while there is room.
    shelf.want(walk(5, 3..=7, true, true));
    assert_eq!(read_all(&mut shelf, 100), []);
}

#[test]
fn a_frame_that_is_back_brings_the_others_back() {
    let mut shelf = Shelf::new(FRAMES, 10_000);
    shelf.want(walk(1, 1..=9, false, false));
    let mut failed = 0;
    while let Some(place) = shelf.begin() {
        shelf.end(place, Err(failure()));
        failed += 1;
    }
    assert_eq!(failed, 5);
    assert!(matches!(shelf.fetch(2), Some(Err(_))));
    assert_eq!(shelf.begin(), None, "nobody asked again");
    shelf.ask(2);
    assert_eq!(read_all(&mut shelf, 100), [2, 0, 1, 3, 4]);
}

#[test]
fn a_frame_larger_than_was_thought_is_kept_if_it_fits() {
    let mut shelf = Shelf::new(FRAMES, 350);
    shelf.want(walk(1, 1..=47, false, false));
    assert_eq!(shelf.begin(), Some(0));
    assert_eq!(shelf.begin(), None, "the first is read alone");
    shelf.end(0, Ok(picture(100)));
    assert_eq!((shelf.begin(), shelf.begin()), (Some(1), Some(2)));
    assert_eq!(shelf.bytes(), 300);
    shelf.end(1, Ok(picture(160)));
    assert_eq!(shelf.bytes(), 200, "not kept: 100 of frame 0 and 100 for frame 2 leave no room for 160");
    shelf.end(2, Ok(picture(100)));
    // Now that its size is known, it takes the place of the one behind it.
    assert_eq!(shelf.begin(), Some(1));
    assert_eq!(shelf.bytes(), 260);
}

#[test]
fn of_two_who_wait_none_takes_the_others_frame() {
    let mut shelf = Shelf::new(FRAMES, 100);
    shelf.wait(3);
    shelf.wait(9);
    assert_eq!(shelf.begin(), Some(9));
    shelf.end(9, Ok(picture(100)));
    assert_eq!(shelf.begin(), None, "9 was not fetched yet");
    shelf.leave(9);
    assert!(shelf.fetch(9).is_some());
    assert_eq!(shelf.begin(), Some(3));
}

#[test]
fn a_frame_beside_the_one_shown_stays_until_it_is_fetched() {
    let mut shelf = Shelf::new(FRAMES, 50);
    shelf.ask(3);
    assert_eq!(read_all(&mut shelf, 100), [3]);
    let shown = shelf.fetch(3);
    shelf.ask(4);
    assert_eq!(read_all(&mut shelf, 100), [4]);
    assert_eq!((shelf.bytes(), shelf.begin()), (200, None));
    assert!(matches!(shelf.fetch(4), Some(Ok(_))));
    drop(shown);
    assert_eq!(shelf.bytes(), 100);
}

#[test]
fn asking_again_changes_no_order() {
    let mut shelf = Shelf::new(FRAMES, 1000);
    [3, 4, 3].into_iter().for_each(|place| shelf.ask(place));
    assert_eq!(read_all(&mut shelf, 100), [4, 3]);
}
