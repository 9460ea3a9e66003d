//! One look-up in a table: what the operation `lut` does to a pixel.
//!
//! Inputs outside the table's domain get what its nearest end gets; outputs are whatever its entries are. No inverse.
//!
//! # Source
//! Cube LUT Specification 1.0 (2013); Academy S-2014-006 (CLF 3.0), appendix A.

use std::sync::Arc;

use colour::Lut;
use colour::lut::{Interpolation, LutKind};

use crate::{Budget, Constant, Derived, Eval, Pointwise, Shader, Signal};

/// Half a unit in the last place of f32, relative.
const U: f64 = 1.0 / 16_777_216.0;

/// Roundings of one result, in units of 2^-24 of the weighted entries: each entry, and three blends of three each.
const ROUNDINGS: f64 = 12.0;

/// Roundings of a place within the domain, in units of 2^-24 of its ends: the ends, the difference, the scale, the product.
const PLACE_ROUNDINGS: f64 = 4.0;

/// A look-up.
#[derive(Debug, Clone, PartialEq)]
pub struct LookUp {
    /// The table's name, as the chain has it.
    pub name: String,
    /// The table.
    pub lut: Arc<Lut>,
    /// What is taken between the entries, if it is a 3D table.
    pub interpolation: Interpolation,
}

impl Pointwise for LookUp {
    fn describe(&self) -> String {
        let Self { name, lut, interpolation } = self;
        let between = match lut.kind() {
            LutKind::OneD => "linear",
            LutKind::ThreeD => interpolation.name(),
        };
        format!("look up {name}, {} {}, {between}", lut.kind().name(), lut.size())
    }

    fn shader(&self) -> Shader {
        match (self.lut.kind(), self.interpolation) {
            (LutKind::OneD, _) => shader!("luts/channels.wgsl", "ChannelsLut", "lut_channels"),
            (LutKind::ThreeD, Interpolation::Tetrahedral) => {
                shader!("luts/tetrahedral.wgsl", "TetrahedralLut", "lut_tetrahedral")
            }
            (LutKind::ThreeD, Interpolation::Trilinear) => {
                shader!("luts/trilinear.wgsl", "TrilinearLut", "lut_trilinear")
            }
        }
    }

    fn eval(&self, _takes: &Signal) -> Eval {
        let (lut, interpolation) = (Arc::clone(&self.lut), self.interpolation);
        Box::new(move |rgb| lut.look_up(interpolation, rgb))
    }

    fn derive(&self, _takes: &Signal) -> Derived {
        let (low, high, size) = (self.lut.low(), self.lut.high(), self.lut.size());
        let cells = (size - 1) as f64;
        let scale = [0, 1, 2].map(|channel| cells / (high[channel] - low[channel]));
        let constants = vec![
            ("low", Constant::Triple(low)),
            ("high", Constant::Triple(high)),
            ("scale", Constant::Triple(scale)),
            ("start", Constant::TableStart),
            ("size", Constant::TableLength(u32::try_from(size).unwrap_or(u32::MAX))),
        ];
        Derived { constants, table: self.lut.entries().iter().flatten().copied().collect() }
    }

    fn budget(&self) -> Budget {
        // Entries of one sign cannot cancel: their sum is off by a share of itself. Of both signs, by a share of twice the
        // smaller side more.
        let entries = || self.lut.entries().iter().flatten();
        let above = entries().fold(0.0, |most: f64, &entry| most.max(entry));
        let below = entries().fold(0.0, |most: f64, &entry| most.max(-entry));
        let cancelled = 2.0 * ROUNDINGS * U * above.min(below);
        // A place counted from zero is off by a share of the input, which the proof's bound carries. One counted from
        // another end is off by a share of that end.
        let (low, high) = (self.lut.low(), self.lut.high());
        let moved = if (low, high) == ([0.0; 3], [1.0; 3]) {
            0.0
        } else {
            let slopes = self.lut.steepest();
            (0..3).map(|i| PLACE_ROUNDINGS * U * (low[i].abs() + high[i].abs()) * slopes[i]).sum()
        };
        Budget { ulps: ROUNDINGS, floor: cancelled + moved }
    }
}
