//! The order in which the play head will reach the frames of a sequence.
//!
//! Frames are named by their *place* in the list here, not by number, since numbers may be missing. A walk is made of a
//! few runs of places, so that it is made, asked and turned without looking at every frame.

use std::collections::BTreeSet;
use std::ops::Range;

use super::{Direction, Position};

/// A stretch of places, walked upwards or downwards.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Run {
    places: Range<usize>,
    downwards: bool,
}

/// What stays the same while the play head only moves on.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Course {
    range: Range<usize>,
    direction: Direction,
    looped: bool,
}

/// Every place of a sequence once, the one that is reached first in front.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) struct Walk {
    runs: Vec<Run>,
    /// How many of the first places are worth reading before anybody asks.
    worth_reading: usize,
    course: Course,
}

impl Walk {
    /// No play head: nothing is read ahead, and the last of `len` places is let go first.
    pub fn none(len: usize) -> Walk {
        Walk {
            runs: vec![Run { places: 0..len, downwards: false }],
            worth_reading: 0,
            course: Course { range: 0..0, direction: Direction::Forward, looped: false },
        }
    }

    /// The walk of a play head over frames of these numbers, which ascend. Up to `behind` frames that play has just
    /// left are worth reading too.
    pub fn new(numbers: &[i64], position: &Position, behind: usize) -> Walk {
        let below = |number: i64| numbers.partition_point(|one| *one < number);
        let up_to = |number: i64| numbers.partition_point(|one| *one <= number);
        let first = below(*position.range.start());
        let end = up_to(*position.range.end()).max(first);
        let forward = position.direction == Direction::Forward;
        // Ahead of the head lies what it plays until the end of the range, the frame it stands on in front.
        let (ahead, left) = if forward {
            let stand = below(position.at).clamp(first, end);
            (stand..end, first..stand)
        } else {
            let stand = up_to(position.at).clamp(first, end);
            (first..stand, stand..end)
        };
        // Outside the range, the frame under the head is the only one that is seen.
        let here = below(position.at)..up_to(position.at);
        let here = if (first..end).contains(&here.start) { 0..0 } else { here };
        let worth_left = if position.looped { left.len() } else { left.len().min(behind) };
        let worth_reading = here.len() + ahead.len() + worth_left;
        let mut runs = vec![
            Run { places: here.clone(), downwards: false },
            Run { places: ahead, downwards: !forward },
            // A loop comes back to what was left from its other end; without one it is left ever further behind.
            Run { places: left, downwards: forward != position.looped },
        ];
        for (outside, downwards) in [(end..numbers.len(), false), (0..first, true)] {
            let mut pieces = [outside.clone(), 0..0];
            if !here.is_empty() && outside.contains(&here.start) {
                pieces = [outside.start..here.start, here.end..outside.end];
            }
            if downwards {
                pieces.reverse();
            }
            runs.extend(pieces.map(|places| Run { places, downwards }));
        }
        runs.retain(|run| !run.places.is_empty());
        let course = Course { range: first..end, direction: position.direction, looped: position.looped };
        Walk { runs, worth_reading, course }
    }

    /// How many of the first places are worth reading before anybody asks.
    pub fn worth_reading(&self) -> usize {
        self.worth_reading
    }

    /// The place that is reached after `rank` others.
    pub fn nth(&self, mut rank: usize) -> Option<usize> {
        for run in &self.runs {
            if rank < run.places.len() {
                return Some(if run.downwards { run.places.end - 1 - rank } else { run.places.start + rank });
            }
            rank -= run.places.len();
        }
        None
    }

    /// How many places are reached before this one; more than there are where it is none of them.
    pub fn rank(&self, place: usize) -> usize {
        let mut before = 0;
        for run in &self.runs {
            if run.places.contains(&place) {
                let within = if run.downwards { run.places.end - 1 - place } else { place - run.places.start };
                return before + within;
            }
            before += run.places.len();
        }
        usize::MAX
    }

    /// The members of a set, the one that is reached last in front.
    pub fn last_first<'a>(&'a self, set: &'a BTreeSet<usize>) -> impl Iterator<Item = usize> + 'a {
        self.runs.iter().rev().flat_map(|run| {
            let mut members = set.range(run.places.clone());
            let downwards = run.downwards;
            std::iter::from_fn(move || if downwards { members.next() } else { members.next_back() }).copied()
        })
    }

    /// How many places lie between this play head and that of `next`, where that one has only moved on: every rank of
    /// `next` is one of this walk less so many, as far as this walk is worth reading.
    pub fn steps_to(&self, next: &Walk) -> Option<usize> {
        if self.course != next.course {
            return None;
        }
        next.nth(0).map(|place| self.rank(place))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn numbers_in_order(numbers: &[i64], position: &Position, behind: usize) -> (Vec<i64>, usize) {
        let walk = Walk::new(numbers, position, behind);
        let order = (0..numbers.len()).map(|rank| numbers[walk.nth(rank).unwrap()]).collect();
        (order, walk.worth_reading())
    }

    #[test]
    fn frames_come_as_the_play_head_reaches_them() {
        use Direction::{Backward, Forward};
        let numbers: Vec<i64> = (1..=9).collect();
        let check = |at, range, direction, looped, order: [i64; 9], worth| {
            let position = Position { at, range, direction, looped };
            assert_eq!(numbers_in_order(&numbers, &position, 1), (order.to_vec(), worth), "{position:?}");
        };
        check(4, 2..=6, Forward, false, [4, 5, 6, 3, 2, 7, 8, 9, 1], 4);
        check(4, 2..=6, Forward, true, [4, 5, 6, 2, 3, 7, 8, 9, 1], 5);
        check(4, 2..=6, Backward, false, [4, 3, 2, 5, 6, 7, 8, 9, 1], 4);
        check(4, 2..=6, Backward, true, [4, 3, 2, 6, 5, 7, 8, 9, 1], 5);
        // One frame between in and out, and in behind out.
        check(4, 4..=4, Forward, true, [4, 5, 6, 7, 8, 9, 3, 2, 1], 1);
        #[expect(clippy::reversed_empty_ranges, reason = "what a careless caller may say")]
        check(4, 6..=2, Forward, true, [4, 6, 7, 8, 9, 5, 3, 2, 1], 1);
        // The head outside the range.
        check(8, 2..=4, Forward, false, [8, 4, 3, 2, 5, 6, 7, 9, 1], 2);
        check(8, 2..=4, Forward, true, [8, 2, 3, 4, 5, 6, 7, 9, 1], 4);
        check(1, 3..=5, Forward, false, [1, 3, 4, 5, 6, 7, 8, 9, 2], 4);
        check(8, 2..=4, Backward, false, [8, 4, 3, 2, 5, 6, 7, 9, 1], 4);
        // The head beyond every frame.
        check(100, 1..=9, Forward, false, [9, 8, 7, 6, 5, 4, 3, 2, 1], 1);
        check(-100, 1..=9, Forward, false, [1, 2, 3, 4, 5, 6, 7, 8, 9], 9);
    }

    #[test]
    fn a_head_on_a_missing_number_goes_on_to_the_next() {
        let numbers = [1, 2, 5, 6];
        let position = |direction| Position { at: 3, range: 1..=6, direction, looped: false };
        assert_eq!(numbers_in_order(&numbers, &position(Direction::Forward), 9), (vec![5, 6, 2, 1], 4));
        assert_eq!(numbers_in_order(&numbers, &position(Direction::Backward), 9), (vec![2, 1, 5, 6], 4));
        assert_eq!(numbers_in_order(&[], &position(Direction::Backward), 9), (vec![], 0));
    }

    fn positions() -> impl Strategy<Value = Position> {
        (-3i64..40, -3i64..40, -3i64..40, any::<bool>(), any::<bool>()).prop_map(|(at, first, last, back, looped)| {
            let direction = if back { Direction::Backward } else { Direction::Forward };
            Position { at, range: first..=last, direction, looped }
        })
    }

    proptest! {
        #[test]
        fn every_place_stands_in_a_walk_once(
            numbers in prop::collection::btree_set(0i64..40, 0..25), position in positions(), behind in 0usize..5,
        ) {
            let numbers: Vec<i64> = numbers.into_iter().collect();
            let walk = Walk::new(&numbers, &position, behind);
            let order: Vec<usize> = (0..numbers.len()).filter_map(|rank| walk.nth(rank)).collect();
            prop_assert_eq!(order.iter().copied().collect::<BTreeSet<_>>().len(), numbers.len());
            prop_assert_eq!(walk.nth(numbers.len()), None);
            for (rank, place) in order.iter().enumerate() {
                prop_assert_eq!(walk.rank(*place), rank);
            }
            prop_assert!(walk.worth_reading() <= numbers.len());
            let every_other: BTreeSet<usize> = (0..numbers.len()).step_by(2).collect();
            let mut sorted: Vec<usize> = every_other.iter().copied().collect();
            sorted.sort_by_key(|place| std::cmp::Reverse(walk.rank(*place)));
            prop_assert_eq!(walk.last_first(&every_other).collect::<Vec<_>>(), sorted);
        }

        /// What was known to be read of one walk is known of the next.
        #[test]
        fn a_walk_that_only_moved_on_keeps_its_beginning(
            numbers in prop::collection::btree_set(0i64..40, 0..25),
            position in positions(), at in -3i64..40, behind in 0usize..5, known in 0usize..25,
        ) {
            let numbers: Vec<i64> = numbers.into_iter().collect();
            let walk = Walk::new(&numbers, &position, behind);
            let next = Walk::new(&numbers, &Position { at, ..position }, behind);
            let known = known.min(walk.worth_reading());
            let kept = walk.steps_to(&next).and_then(|steps| known.checked_sub(steps)).unwrap_or(0);
            for rank in 0..kept {
                let place = next.nth(rank);
                prop_assert!(place.is_none_or(|place| walk.rank(place) < known), "rank {} of {}", rank, kept);
            }
        }
    }
}
