//! Frames in memory before they are needed: one engine for playing ([`ReadAhead`]) and for rendering ([`InOrder`]).
//!
//! Threads read and decode the frames that are needed first: those that somebody waits for, those that somebody asked
//! for, those that the play head will reach, in the order in which it will, and a few that it has just left. Frames that
//! were read stay in memory while the budget has room; where it has none, the frames go first that the play head will
//! reach last, by its direction, its loop and its in and out point.
//!
//! **The budget is kept in this way.** Counted are all pictures in memory, those that the user was handed and still has
//! as well, and for each one being read as many bytes as it had when it was last read, or else the last frame had. The
//! very first frame is read alone, since how large one is nobody knows. The sum stays within the budget, with one exception:
//! a frame that is asked for is read where nothing else is being read and nothing is held but what the user still has.
//! So one frame alone may always be held, and a budget that is too small makes reading slow but never stops it. A
//! frame that turns out larger than was set aside for it is kept only if there is room for it, and otherwise read
//! again when there is. What a decoder needs beside its picture while it works is not counted.
//!
//! A frame that cannot be read is an answer too, and stays one until it is asked for again: then the file is read anew.
//! If it can be read by then, all others that could not are tried again as well.

mod decoded;
mod engine;
mod error;
mod in_order;
mod position;
mod read_ahead;
mod shelf;
mod walk;

pub use decoded::{Decoded, Reader, Spent};
pub use error::AheadError;
pub use in_order::{Canceller, InOrder, Reading};
pub use position::{Direction, Position};
pub use read_ahead::ReadAhead;

/// What reading ahead may take of the machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Limits {
    /// Bytes of memory for pictures.
    pub budget_bytes: u64,
    /// Threads that read and decode, at least one; as many as the machine runs at once where none is said.
    pub threads: Option<usize>,
}
