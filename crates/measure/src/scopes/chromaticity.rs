//! Chromaticity: where the colours of a picture lie among all colours. Counts linear light.

use crate::Tap;

use super::Axis;
use super::counts::{Place, Scope, Shape};

/// Luminance at and below which a chromaticity is mostly noise: five stops below mid grey of white.
///
/// # Source
/// A choice of this house, as for readings of white.
pub const DARKEST: f64 = ops::MID_GREY / 32.0;

/// A chromaticity diagram.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Diagram {
    /// CIE 1931 (x, y).
    Xy1931,
    /// CIE 1976 (u', v').
    Uv1976,
}

impl Diagram {
    /// Names of its axes.
    pub fn coordinates(self) -> [&'static str; 2] {
        match self {
            Diagram::Xy1931 => ["x", "y"],
            Diagram::Uv1976 => ["u'", "v'"],
        }
    }

    /// The coordinates of a chromaticity.
    pub fn point(self, xy: colour::Xy) -> [f64; 2] {
        match self {
            Diagram::Xy1931 => [xy.x, xy.y],
            Diagram::Uv1976 => xy.to_uv1976(),
        }
    }

    /// The first and last value of both axes: every visible colour and a margin, at the same scale both ways.
    fn reach(self) -> (f64, f64) {
        match self {
            Diagram::Xy1931 => (-0.05, 0.90),
            Diagram::Uv1976 => (-0.03, 0.67),
        }
    }

    /// Both coordinates are quotients of sums of XYZ: what is above, and what is below both.
    ///
    /// # Source
    /// CIE 15:2018, 7.3 and 8.1: x = X / (X + Y + Z), u' = 4 X / (X + 15 Y + 3 Z), v' = 9 Y / (X + 15 Y + 3 Z).
    fn sums(self) -> [[f64; 3]; 3] {
        match self {
            Diagram::Xy1931 => [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [1.0, 1.0, 1.0]],
            Diagram::Uv1976 => [[4.0, 0.0, 0.0], [0.0, 9.0, 0.0], [1.0, 15.0, 3.0]],
        }
    }
}

/// A chromaticity diagram of the linear light at a tap.
#[derive(Debug, Clone, PartialEq)]
pub struct Chromaticity {
    diagram: Diagram,
    rows: [[f32; 3]; 4],
    darkest: f32,
    across: Axis,
    up: Axis,
}

impl Chromaticity {
    /// A diagram of light on the tap's primaries. Pixels whose luminance is at or below `darkest` (white is 1; 0 keeps every
    /// light, [`DARKEST`] is usual) are counted apart.
    pub fn new(diagram: Diagram, tap: &Tap, darkest: f64, bins: u32) -> Chromaticity {
        let matrix = tap.xyz_from_light().0;
        // Sums of XYZ of RGB: one row of three each.
        let on_rgb = |sum: [f64; 3]| {
            std::array::from_fn(|i| (sum[0] * matrix[0][i] + sum[1] * matrix[1][i] + sum[2] * matrix[2][i]) as f32)
        };
        let [across, up, below] = diagram.sums().map(on_rgb);
        let (first, last) = diagram.reach();
        let [name_across, name_up] = diagram.coordinates();
        Chromaticity {
            diagram,
            rows: [across, up, below, on_rgb([0.0, 1.0, 0.0])],
            darkest: darkest.max(0.0) as f32,
            across: Axis::coordinate(name_across, first, last, bins),
            up: Axis::coordinate(name_up, first, last, bins),
        }
    }

    /// Which diagram.
    pub fn diagram(&self) -> Diagram {
        self.diagram
    }

    /// The axis across.
    pub fn across(&self) -> &Axis {
        &self.across
    }

    /// The axis upwards.
    pub fn up(&self) -> &Axis {
        &self.up
    }

    /// Rows on linear RGB, for a kernel: above for the axis across, above for the one upwards, below both, luminance.
    pub fn rows(&self) -> [[f32; 3]; 4] {
        self.rows
    }

    /// Luminance at and below which a pixel counts as dark.
    pub fn darkest(&self) -> f32 {
        self.darkest
    }
}

impl Scope for Chromaticity {
    fn shape(&self) -> Shape {
        Shape { planes: 1, columns: self.across.slots(), rows: self.up.slots() }
    }

    fn of_light(&self) -> bool {
        true
    }

    fn places(&self, _x: u32, rgb: [f32; 3]) -> [Place; 3] {
        let [across, up, below, luminance] = self.rows.map(|[r, g, b]| r * rgb[0] + g * rgb[1] + b * rgb[2]);
        if luminance.is_nan() || below.is_nan() {
            return [Place::NotANumber; 3];
        }
        // Colours that no light has may sum to nothing above a positive luminance.
        if luminance <= self.darkest || below <= 0.0 {
            return [Place::Dark; 3];
        }
        [Place::of(self.across.slot(across / below), self.up.slot(up / below)); 3]
    }

    fn code_bits(&self) -> Option<u32> {
        None
    }

    fn code_places(&self, _x: u32, _rgb: [u16; 3]) -> Option<[Place; 3]> {
        None
    }
}
