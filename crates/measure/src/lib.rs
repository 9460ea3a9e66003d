//! What a picture measures. Knows no GPU, no window and no file.
//!
//! [`Tap`] says what the numbers at one place of a candidate are. [`scopes`] counts pixels into bins: it is what the GPU's
//! counts are held against, and the arithmetic is written so that a kernel can do the same. [`readings`] measures one place
//! of a picture, [`view`] says of each pixel where it is on the scale of light, [`response`] what a candidate does without
//! a picture, [`tones`] what steps it leaves, [`verdict`] what tells candidates apart, [`confidence`] how sure a grey is,
//! [`limits`] what quality control looks for in a finished frame.

pub mod confidence;
mod least_squares;
pub mod limits;
pub mod readings;
pub mod response;
pub mod scopes;
mod tap;
pub mod tones;
pub mod verdict;
pub mod view;

pub use tap::Tap;
