//! Vectorscope: colour difference, Cb across and Cr up. Counts R'G'B' code.

use colour::CodeRange;

use super::counts::{Place, Scope, Shape};
use super::{Axis, CodeDifference, YCbCr};

/// A vectorscope. Both axes have the same bins, an odd number, so that no colour is the middle of one.
#[derive(Debug, Clone, PartialEq)]
pub struct Vectorscope {
    matrix: YCbCr,
    rows: [[f32; 3]; 2],
    across: Axis,
    up: Axis,
    codes: Option<CodeDifference>,
}

impl Vectorscope {
    /// A vectorscope of signal.
    pub fn of_signal(matrix: YCbCr, bins: u32) -> Vectorscope {
        let rows = single(&matrix);
        Vectorscope {
            matrix,
            rows,
            across: Axis::difference("Cb", bins),
            up: Axis::difference("Cr", bins),
            codes: None,
        }
    }

    /// A vectorscope of integer codes of a depth and range; it counts signal too.
    pub fn of_codes(matrix: YCbCr, bits: u32, range: CodeRange, bins: u32) -> Vectorscope {
        let axis = |name| Axis::difference_codes(name, bits, range, bins);
        let codes = Some(CodeDifference::new(&matrix, bits, range));
        Vectorscope { matrix, rows: single(&matrix), across: axis("Cb"), up: axis("Cr"), codes }
    }

    /// The plane.
    pub fn matrix(&self) -> YCbCr {
        self.matrix
    }

    /// The axis of Cb.
    pub fn across(&self) -> &Axis {
        &self.across
    }

    /// The axis of Cr.
    pub fn up(&self) -> &Axis {
        &self.up
    }

    /// The rows of Cb and Cr in single float, for a kernel.
    pub fn rows(&self) -> [[f32; 3]; 2] {
        self.rows
    }

    /// The integer rows, for a kernel; none on an axis of signal.
    pub fn codes(&self) -> Option<CodeDifference> {
        self.codes
    }
}

fn single(matrix: &YCbCr) -> [[f32; 3]; 2] {
    matrix.rows().map(|row| row.map(|v| v as f32))
}

impl Scope for Vectorscope {
    fn shape(&self) -> Shape {
        Shape { planes: 1, columns: self.across.slots(), rows: self.up.slots() }
    }

    fn of_light(&self) -> bool {
        false
    }

    fn places(&self, _x: u32, rgb: [f32; 3]) -> [Place; 3] {
        let [cb, cr] = self.rows.map(|[r, g, b]| r * rgb[0] + g * rgb[1] + b * rgb[2]);
        [Place::of(self.across.slot(cb), self.up.slot(cr)); 3]
    }

    fn code_bits(&self) -> Option<u32> {
        self.across.code_bits()
    }

    fn code_places(&self, _x: u32, rgb: [u16; 3]) -> Option<[Place; 3]> {
        let [cb, cr] = self.codes?.difference(rgb);
        Some([Place::of(self.across.slot_of_code(cb), self.up.slot_of_code(cr)); 3])
    }
}
