//! Where the play head stands and where it is going.

use std::ops::RangeInclusive;

/// Which way frames are played.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Direction {
    /// To higher numbers.
    #[default]
    Forward,
    /// To lower numbers.
    Backward,
}

/// The play head: all that says which frames will be seen next.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Position {
    /// The number of the frame to be seen now. It may lie outside `range`, and no frame need have it.
    pub at: i64,
    /// In and out point, as frame numbers, both played. An empty range plays nothing.
    pub range: RangeInclusive<i64>,
    /// Which way.
    pub direction: Direction,
    /// Whether play goes on at the other end of the range.
    pub looped: bool,
}
