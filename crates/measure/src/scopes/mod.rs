//! Scopes: what each counts, its axes, and the counts of a picture.
//!
//! A scope says for each pixel in which cell of a grid it counts; [`count`] and [`count_codes`] run it over a region. A
//! parade and an overlaid RGB waveform are two drawings of the same counts. Nothing is lost: what lies beyond an axis counts
//! in the slots at its ends, what is not a number and what has no chromaticity are counted apart, and so every plane's total
//! is the number of pixels.
//!
//! Integer codes are binned by integer arithmetic alone, so that a kernel's counts can be the same to the last pixel. Floats
//! go through a multiplication and an addition in single float (a division and a logarithm more in some scopes), so that a
//! kernel's counts may differ from these by one bin.

mod axis;
mod chromaticity;
mod counts;
mod curves;
mod density;
mod histogram;
mod labels;
mod region;
mod shares;
mod targets;
#[cfg(test)]
mod tests;
mod vectorscope;
mod waveform;
mod y_cb_cr;

pub use axis::{Axis, MOST_BINS, Span};
pub use chromaticity::{Chromaticity, DARKEST, Diagram};
pub use counts::{Cell, Counts, Place, Scope, ScopeError, Shape, count, count_codes};
pub use curves::{daylight, planckian, spectrum, triangle};
pub use density::{STRAY, intensity};
pub use histogram::Histogram;
pub use labels::{
    Limit, Tick, codes as code_ticks, limits, nits as nits_ticks, percent as percent_ticks, stops as stops_ticks,
};
pub use region::Region;
pub use shares::{cells_of, grid_shares, waveform_shares};
pub use targets::{SKIN_LINE_DEGREES, TARGET_REACH, Target, i_axis_degrees, targets};
pub use vectorscope::Vectorscope;
pub use waveform::{Waveform, WaveformOf};
pub use y_cb_cr::{BT601, BT709, BT2020, CodeDifference, CodeLuma, YCbCr};
