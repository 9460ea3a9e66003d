//! What is drawn on a vectorscope: where bars belong, and the skin line.

use super::YCbCr;

/// Half the side of a target's box, in colour difference signal.
///
/// # Source
/// Common practice, no source: boxes of some percent around the bars; this size is a choice of this house.
pub const TARGET_REACH: f64 = 0.02;

/// The skin line of this house: its angle in the plane of Cb and Cr that is drawn, in degrees anticlockwise from +Cb.
///
/// # Source
/// Common practice, no source. 123 degrees is the I axis of older practice, which stood in the analogue plane of U and V;
/// the same colours lie at [`i_axis_degrees`] in this plane, 134 or 132. The figure is kept and not the colours, because
/// skin itself is nearer to it: the light and the dark skin of the 24-patch chart lie at 118 and 121 degrees on BT.709.
pub const SKIN_LINE_DEGREES: f64 = 123.0;

/// Where one of the colour bars belongs.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Target {
    /// The bar's colour.
    pub name: &'static str,
    /// Cb and Cr, as signal.
    pub difference: [f64; 2],
}

impl Target {
    /// Whether a colour difference lies in the target's box.
    pub fn holds(&self, difference: [f64; 2]) -> bool {
        self.difference.iter().zip(difference).all(|(target, got)| (target - got).abs() <= TARGET_REACH)
    }
}

/// The six colours of bars at a level: 1 for 100 %, 0.75 for 75 %.
///
/// # Source
/// Rec. ITU-R BT.471-1 (the bars 100/0/100/0 and 75/0/75/0, from memory) through the colour difference of the matrix.
pub fn targets(matrix: &YCbCr, level: f64) -> [Target; 6] {
    [
        ("red", [1.0, 0.0, 0.0]),
        ("magenta", [1.0, 0.0, 1.0]),
        ("blue", [0.0, 0.0, 1.0]),
        ("cyan", [0.0, 1.0, 1.0]),
        ("green", [0.0, 1.0, 0.0]),
        ("yellow", [1.0, 1.0, 0.0]),
    ]
    .map(|(name, rgb)| Target { name, difference: matrix.difference(rgb.map(|v| v * level)) })
}

/// The angle of the I axis of older practice in the plane of Cb and Cr: 123 degrees in the analogue plane of
/// U = 0.492111 (B - Y) and V = 0.877283 (R - Y), carried over.
///
/// # Source
/// Rec. ITU-R BT.470-6 for U and V; 123 degrees: common practice, no source.
pub fn i_axis_degrees(matrix: &YCbCr) -> f64 {
    let (v, u) = SKIN_LINE_DEGREES.to_radians().sin_cos();
    let [kr, _, kb] = matrix.weights;
    let cb = u / 0.492111 / (2.0 * (1.0 - kb));
    let cr = v / 0.877283 / (2.0 * (1.0 - kr));
    cr.atan2(cb).to_degrees()
}
