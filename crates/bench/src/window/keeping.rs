//! When unsaved work is kept beside the project: soon after the first thing that is not kept yet, however much comes after it.

use std::time::{Duration, Instant};

/// How old unsaved work gets before it is kept: less than the five seconds that may be lost, so that writing it has time.
const KEPT_AFTER: Duration = Duration::from_secs(4);

/// Since when there is work that is not kept.
#[derive(Debug, Default)]
pub struct Keeping {
    since: Option<Instant>,
}

/// What is to be done about it now.
#[derive(Debug, PartialEq, Eq)]
pub enum Then {
    /// Keep it.
    Keep,
    /// Come again then.
    Wait(Instant),
    /// There is nothing to keep.
    Nothing,
}

impl Keeping {
    /// What is to be done now, where there is work to be kept or not.
    pub fn then(&mut self, is_to_be_kept: bool, now: Instant) -> Then {
        if !is_to_be_kept {
            self.since = None;
            return Then::Nothing;
        }
        let due = *self.since.get_or_insert(now) + KEPT_AFTER;
        if now < due {
            return Then::Wait(due);
        }
        self.since = None;
        Then::Keep
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What may be lost at most when the program is killed.
    const LOST: Duration = Duration::from_secs(5);

    #[test]
    fn no_work_gets_older_than_may_be_lost() {
        let start = Instant::now();
        let at = |milliseconds: u64| start + Duration::from_millis(milliseconds);
        let mut keeping = Keeping::default();
        assert_eq!(keeping.then(false, at(0)), Then::Nothing);
        // Something is done at 100 ms, and something more every 300 ms from then on: none of it puts it off.
        let mut kept = Vec::new();
        for step in 0..60 {
            let now = at(100 + 300 * step);
            match keeping.then(true, now) {
                Then::Keep => kept.push(now),
                Then::Wait(due) => assert!(due > now && due <= now + LOST),
                Then::Nothing => panic!("there is work"),
            }
        }
        let mut before = at(100);
        for now in kept {
            assert!(now - before < LOST, "{:?}", now - before);
            before = now;
        }
        assert!(before > at(100), "nothing was kept");
    }

    #[test]
    fn the_window_is_told_when_to_come_again() {
        let now = Instant::now();
        let mut keeping = Keeping::default();
        let Then::Wait(due) = keeping.then(true, now) else { panic!("too soon") };
        assert_eq!(keeping.then(true, due), Then::Keep);
        assert_eq!(keeping.then(false, due), Then::Nothing);
        assert!(matches!(keeping.then(true, due), Then::Wait(next) if next > due));
    }
}
