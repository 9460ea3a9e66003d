//! A sequence shared out among machines that know nothing of each other.

use std::collections::BTreeSet;
use std::fmt;
use std::str::FromStr;

use media::Sequence;

/// The `at`th of `of` parts, counted from 1.
///
/// Frames go to the parts in turn, by their place in the whole sequence. So each part has as many as any other, within
/// one, of the whole and of every range of it; the sequence fills up everywhere alike; and a frame that is added at the
/// end moves no other one to another part.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Part {
    at: usize,
    of: usize,
}

impl Part {
    /// This part of the frames that are wanted of a whole sequence; maybe none.
    pub fn of(self, whole: &Sequence, wanted: &Sequence) -> Sequence {
        let mine: BTreeSet<i64> =
            whole.frames().iter().skip(self.at - 1).step_by(self.of).map(|frame| frame.0).collect();
        wanted.some(|number| mine.contains(&number))
    }
}

impl FromStr for Part {
    type Err = String;

    fn from_str(text: &str) -> Result<Self, String> {
        let numbers = text.split_once('/').and_then(|(at, of)| Some((at.parse().ok()?, of.parse().ok()?)));
        match numbers {
            Some((at, of)) if (1..=of).contains(&at) => Ok(Self { at, of }),
            Some((at, of)) => Err(format!("there is no part {at} of {of}; parts are counted from 1")),
            None => Err("which part of how many is wanted, for instance 2/5".to_string()),
        }
    }
}

impl fmt::Display for Part {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}/{}", self.at, self.of)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Whatever the number of parts, frames and gaps: every frame is in one part, and parts are even within one, in
    /// every range.
    #[test]
    fn nothing_is_lost_and_nothing_is_done_twice() {
        let folder = tempfile::tempdir().unwrap();
        for number in (1..=40).filter(|number| number % 7 != 3) {
            std::fs::write(folder.path().join(format!("a.{number:04}.dpx")), "").unwrap();
        }
        let whole = Sequence::open(&folder.path().join("a.%04d.dpx")).unwrap();
        for of in [1, 2, 3, 7, 34, 100] {
            for (first, last) in [(1, 40), (5, 5), (9, 22)] {
                let wanted = whole.restrict(first, last).unwrap();
                let parts: Vec<_> = (1..=of).map(|at| Part { at, of }.of(&whole, &wanted)).collect();
                let mut numbers: Vec<i64> = parts.iter().flat_map(|part| part.frames().iter().map(|it| it.0)).collect();
                numbers.sort_unstable();
                let all: Vec<i64> = wanted.frames().iter().map(|it| it.0).collect();
                assert_eq!(numbers, all, "{of} parts of {first}-{last}");
                let counts = parts.iter().map(|part| part.frames().len());
                assert!(counts.clone().max().unwrap() - counts.min().unwrap() <= 1, "{of} parts of {first}-{last}");
            }
        }
    }

    #[test]
    fn parts_as_they_are_typed() {
        assert_eq!("2/5".parse(), Ok(Part { at: 2, of: 5 }));
        for text in ["0/5", "6/5", "1/0", "1", "a/b", "-1/2", "1/2/3", ""] {
            assert!(text.parse::<Part>().is_err(), "{text}");
        }
    }
}
