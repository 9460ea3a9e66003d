//! Sequences of frames through a chain, into files.

mod bound;
mod pipeline;
mod report;
mod sink;
mod targets;
mod timings;

use frame::Dither;
use media::{Depth, Sequence};

pub use bound::{Bound, Follows};
pub use pipeline::render;
pub use report::{Failed, Report};
pub use sink::Sink;
pub use targets::{Gaps, open, output, refuse_same};
pub use timings::{Clock, Row, Stage, Timings};

use crate::Follower;
use crate::chain::Chain;

/// What to render.
pub struct Job<'a> {
    /// The chain.
    pub chain: &'a Chain,
    /// The originals.
    pub sequence: &'a Sequence,
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
    /// Who follows the work.
    pub follower: &'a dyn Follower,
}
