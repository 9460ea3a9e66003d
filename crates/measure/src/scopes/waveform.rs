//! Waveform: the level of a picture, column by column. Drawn overlaid or as a parade, the three channels are one count.

use super::counts::{Cell, Place, Scope, Shape};
use super::{Axis, CodeLuma, Region};

/// Columns at the most: a column times the region's width then stays in 32 bits.
const MOST_COLUMNS: u32 = 1 << 12;

/// Which levels.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum WaveformOf {
    /// One weighted sum of the three channels: luma on code, luminance on linear light.
    Luma([f64; 3]),
    /// Red, green and blue.
    Channels,
}

/// A waveform of a region. Counts signal, or linear light where its axis is in stops.
#[derive(Debug, Clone, PartialEq)]
pub struct Waveform {
    of: WaveformOf,
    axis: Axis,
    columns: u32,
    width: u32,
    height: u32,
    code_luma: Option<CodeLuma>,
}

impl Waveform {
    /// A waveform over at most as many columns as the region has, and 4096.
    pub fn new(of: WaveformOf, axis: Axis, columns: u32, region: Region) -> Waveform {
        let width = region.width();
        let code_luma = if let WaveformOf::Luma(weights) = of { Some(CodeLuma::new(weights)) } else { None };
        Waveform {
            of,
            axis,
            columns: columns.clamp(1, width.min(MOST_COLUMNS)),
            width,
            height: region.height(),
            code_luma,
        }
    }

    /// The levels counted.
    pub fn of(&self) -> WaveformOf {
        self.of
    }

    /// The axis upwards.
    pub fn axis(&self) -> &Axis {
        &self.axis
    }

    /// The weights of integer luma, for a kernel; none where it counts channels.
    pub fn code_luma(&self) -> Option<CodeLuma> {
        self.code_luma
    }

    /// The column of the grid in which a column of the region counts: `x * columns / width` in integers.
    /// Exact in 32 bits for regions of up to 2^20 columns.
    pub fn column(&self, x: u32) -> u32 {
        (u64::from(x) * u64::from(self.columns) / u64::from(self.width)) as u32
    }

    fn place(&self, x: u32, row: Option<u32>) -> Place {
        row.map_or(Place::NotANumber, |row| Place::Cell(Cell { column: self.column(x), row }))
    }
}

impl Scope for Waveform {
    fn shape(&self) -> Shape {
        let planes = if self.of == WaveformOf::Channels { 3 } else { 1 };
        Shape { planes, columns: self.columns, rows: self.axis.slots() }
    }

    fn of_light(&self) -> bool {
        self.axis.is_of_light()
    }

    fn places(&self, x: u32, rgb: [f32; 3]) -> [Place; 3] {
        match self.of {
            WaveformOf::Channels => rgb.map(|value| self.place(x, self.axis.slot(value))),
            WaveformOf::Luma(weights) => {
                let [r, g, b] = weights.map(|w| w as f32);
                [self.place(x, self.axis.slot(r * rgb[0] + g * rgb[1] + b * rgb[2])); 3]
            }
        }
    }

    fn code_bits(&self) -> Option<u32> {
        self.axis.code_bits()
    }

    fn code_places(&self, x: u32, rgb: [u16; 3]) -> Option<[Place; 3]> {
        let codes = match self.code_luma {
            None => rgb.map(i32::from),
            // At most 65535.
            Some(luma) => [luma.luma(rgb) as i32; 3],
        };
        let [red, green, blue] = codes.map(|code| self.axis.slot_of_code(code));
        Some([self.place(x, Some(red?)), self.place(x, Some(green?)), self.place(x, Some(blue?))])
    }

    fn most(&self, _region: Region) -> u64 {
        u64::from(self.width.div_ceil(self.columns)) * u64::from(self.height)
    }
}
