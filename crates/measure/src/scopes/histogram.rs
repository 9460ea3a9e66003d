//! Histogram: how often each level occurs in red, green and blue.

use super::Axis;
use super::counts::{Cell, Place, Scope, Shape};

/// A histogram of each channel. Counts signal, or linear light where its axis is in stops.
#[derive(Debug, Clone, PartialEq)]
pub struct Histogram {
    /// The axis of levels: in code, or in stops.
    pub axis: Axis,
}

impl Scope for Histogram {
    fn shape(&self) -> Shape {
        Shape { planes: 3, columns: 1, rows: self.axis.slots() }
    }

    fn of_light(&self) -> bool {
        self.axis.is_of_light()
    }

    fn places(&self, _x: u32, rgb: [f32; 3]) -> [Place; 3] {
        rgb.map(|value| Place::of(Some(0), self.axis.slot(value)))
    }

    fn code_bits(&self) -> Option<u32> {
        self.axis.code_bits()
    }

    fn code_places(&self, _x: u32, rgb: [u16; 3]) -> Option<[Place; 3]> {
        let [red, green, blue] = rgb.map(|code| self.axis.slot_of_code(i32::from(code)));
        Some([red?, green?, blue?].map(|row| Place::Cell(Cell { column: 0, row })))
    }
}
