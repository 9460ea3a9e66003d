//! OpenEXR, half and single float, RGB and RGBA; whole numbers are read as single float.
//!
//! # Source
//! OpenEXR file layout and standard attributes (Academy Software Foundation); ACES image container: SMPTE
//! ST 2065-4.

mod attributes;
mod channels;
mod read;
mod write;
mod zip;

pub(crate) use read::read;
pub(crate) use write::write;
