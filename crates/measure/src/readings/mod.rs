//! Readings: what one place of a picture measures.
//!
//! A [`Probe`] reads a [`Region`](crate::scopes::Region) of the pixels at a [`Tap`](crate::Tap): its levels with their spread,
//! outliers left out, and the colour of their average. An [`Area`] says where, in pixels that need not be whole, and a
//! [`MovingArea`] where at which frame.

mod area;
mod kept;
mod reading;
mod tristimulus;

pub use area::{Area, MovingArea};
pub use kept::{Kept, OUTLIER, Statistics, keeps, kept};
pub use reading::{Average, Hue, Probe, Reading, WhiteShift};
pub use tristimulus::Tristimulus;
