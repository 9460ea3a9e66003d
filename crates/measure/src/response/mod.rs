//! Response: what a candidate does to greys and hues, without a picture.
//!
//! A [`Candidate`] is anything that turns numbers into numbers, with what they are at both ends. [`Grey`] is one level that was
//! sent through; ramps of them have a gap between channels and a slope. [`Hue`] is one colour of the sweep or the bars.

mod greys;
mod hues;

pub use greys::{Grey, over_signal, over_stops, slopes, stops_of};
pub use hues::{Hue, held, hue};

use crate::Tap;

/// Something that is measured by what it makes of known numbers.
pub struct Candidate<F> {
    original: Tap,
    result: Tap,
    run: F,
}

impl<F: Fn([f64; 3]) -> [f64; 3]> Candidate<F> {
    /// What turns numbers of `original` into numbers of `result`.
    pub fn new(original: Tap, result: Tap, run: F) -> Candidate<F> {
        Candidate { original, result, run }
    }

    /// What enters.
    pub fn original(&self) -> &Tap {
        &self.original
    }

    /// What leaves.
    pub fn result(&self) -> &Tap {
        &self.result
    }

    /// What becomes of one pixel.
    pub fn pixel(&self, rgb: [f64; 3]) -> [f64; 3] {
        (self.run)(rgb)
    }
}

#[cfg(test)]
mod tests;
