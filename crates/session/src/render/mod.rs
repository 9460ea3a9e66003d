//! Sequences of frames through a chain, into files.

mod bound;
mod content;
mod example;
mod meaning;
mod order;
mod part;
mod pipeline;
mod purse;
mod record;
mod report;
mod resume;
mod sink;
mod targets;
mod timings;

use frame::Dither;
use media::{Depth, Sequence};
use pipeline::threads;

pub use bound::{Bound, Follows};
pub use example::Example;
pub use order::{Order, carry_out};
pub use part::Part;
pub use pipeline::render;
pub use record::Record;
pub use report::{Failed, Report};
pub use resume::{Found, resume};
pub use sink::{Rendered, Sink};
pub use targets::{Gaps, open, output, refuse_same};
pub use timings::{Clock, Row, Stage, Timings};

use crate::Follower;
use crate::chain::Chain;

/// Bytes of memory for pictures, unless told.
pub const MEMORY_BYTES: u64 = 2 << 30;

/// What to render.
pub struct Job<'a> {
    /// The chain.
    pub chain: &'a Chain,
    /// The originals.
    pub sequence: &'a Sequence,
    /// The frame that they must be like, where they are a part of a sequence; else the first of them.
    pub example: Option<&'a Example>,
    /// What was found of them already, where this goes on with a render that was broken off.
    pub found: Option<Found>,
    /// Where the frames go.
    pub sink: Sink<'a>,
    /// Bits of a sample; the format's usual ones if none.
    pub depth: Option<Depth>,
    /// How codes are dithered, if they are.
    pub dither: Option<Dither>,
    /// Whether to print what the chain means.
    pub explain: bool,
    /// Whether each stage is timed.
    pub timings: bool,
    /// Whether anything but an ACES image container is refused.
    pub aces_container: bool,
    /// Bytes of memory for pictures: half for those that are read ahead, half for those that are computed or wait to be
    /// written, with their originals. One frame of each is always there. What a format's coder needs beside a picture is not counted.
    pub memory_bytes: u64,
    /// Who follows the work.
    pub follower: &'a dyn Follower,
}
