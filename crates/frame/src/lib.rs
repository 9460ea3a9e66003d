//! The home of pixels: size, channels, packing, range, raw bytes and float planes. No I/O.
//!
//! A [`Frame`] keeps its samples exactly as a file stores them, so that a packed 10-bit frame travels
//! from disk to the GPU and back without a pass over its pixels. [`Frame::to_pixels`] and
//! [`Frame::from_pixels`] are the same unpacking and packing on the CPU; they say what the GPU must do.
//!
//! Range, depth and byte order live here, at the file's edge. Past [`Frame::to_pixels`] there are
//! only signal values in single float.

mod dither;
mod frame;
mod layout;
mod non_finite;
mod pixels;
mod range;

pub use dither::{Dither, Noise};
pub use frame::{Frame, FrameError, Size};
pub use layout::{ByteOrder, Channels, Layout, Samples};
pub use non_finite::NonFinite;
pub use range::Range;
