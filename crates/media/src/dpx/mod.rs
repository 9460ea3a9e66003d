//! DPX: unsigned samples of 8, 10, 12 and 16 bits, with and without run-length encoding, as found in the wild.
//!
//! # Source
//! SMPTE ST 268-1 (268M-2003, version 2.0 of the format). Where files in use keep to another habit than the
//! text (lines of 8 and 16 bits without padding, luma in 10 bits from the low end of a word), the habit is
//! followed and the place says so.

mod about;
pub(crate) mod characteristics;
mod element;
mod header;
mod lines;
mod read;
mod rendering;
mod runs;
mod slate;
mod unpack;
mod write;

pub(crate) use read::read;
pub(crate) use write::header;
