//! Image sequences in and out, with the metadata that matters. Knows frames, not graphs.
//!
//! [`Sequence::open`] turns what a user typed into a list of files, [`read`] and [`write()`] move one
//! [`frame::Frame`] between a file and memory. A 10-bit DPX file is read into one block of memory and its
//! picture is never touched; a written file appears under its name only when whole. [`ahead`] reads frames before they are
//! needed and keeps them within a budget.

mod about;
pub mod ahead;
mod code_findings;
mod codes;
mod dpx;
mod error;
mod exif;
mod format;
mod icc;
mod jpeg_file;
mod limits;
mod movie;
mod names;
mod openexr;
mod output;
mod parts;
mod png_file;
mod read;
mod said;
mod sequence;
mod shorts;
mod shot_sheet;
mod survey;
mod tiff;
mod timecode;
mod timecode_breaks;
mod timecode_faults;
mod turn;
mod write;

pub use about::{About, Note, Timecode};
pub use code_findings::{CodeFault, CodeFinding, code_findings, fewer_bits_of};
pub use codes::{CodeUse, FloatUse, quantile};
pub use error::MediaError;
pub use format::{Depth, Format, layout_for};
pub use limits::{MAX_FRAME_BYTES, MAX_SIDE};
pub use output::OutputPattern;
pub use parts::{machine, sweep};
pub use read::{Picture, read, read_timed};
pub use said::Said;
pub use sequence::Sequence;
pub use shot_sheet::{Shot, ShotSheet, ShotSheetError};
pub use survey::{Change, Seen, Survey, Surveying};
pub use timecode::{Address, Counting, TimecodeError};
pub use timecode_breaks::TimecodeBreak;
pub use timecode_faults::TimecodeFault;
pub use write::{Encoded, encode, store, write};
