//! DPX, 10-bit RGB in filled words.
//!
//! # Source
//! SMPTE ST 268-1 (268M-2003, version 2.0 of the format).

mod header;
mod read;
mod write;

pub(crate) use read::read;
pub(crate) use write::write;
