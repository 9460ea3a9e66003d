//! Constants to bytes, as WGSL lays out a struct in uniform space.

use frame::Size;
use ops::{Constant, Constants};

use super::Edge;

/// One settings struct of a pass, or a flag.
#[derive(Debug, Clone, PartialEq)]
pub enum Member {
    /// A step's constants in its struct, with where its table starts.
    Step {
        /// The struct's name.
        structure: &'static str,
        /// Its members.
        constants: Constants,
        /// Where its table starts in the pass's tables.
        table_start: u32,
    },
    /// Whether a scope is active.
    Active(bool),
}

/// Members that every pass's settings begin with: pixels, and the scale and offset of both edges.
pub(super) const HEAD: &str = "    pixels: u32,\n    source_scale: f32,\n    source_offset: f32,\n    result_scale: f32,\n    result_offset: f32,\n";

/// Members that follow where the result is dithered: a [`Place`].
pub(super) const PLACE: &str = "    width: u32,\n    left: u32,\n    top: u32,\n    frame: u32,\n";

/// Where the pixels of a run lie in their frame, and its number: what noise hangs on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Place {
    /// Pixels a row of the run.
    pub width: u32,
    /// Column of the first pixel.
    pub left: u32,
    /// Row of the first pixel.
    pub top: u32,
    /// The frame's number; its low 32 bits count.
    pub number: i64,
}

impl Place {
    /// Where its bytes begin in a pass's settings.
    pub const AT: u64 = 20;

    /// The whole of a frame.
    pub fn whole(size: Size, number: i64) -> Place {
        Place { width: size.width, left: 0, top: 0, number }
    }

    /// As a pass's settings hold it.
    pub fn bytes(self) -> [u8; 16] {
        let words = [self.width, self.left, self.top, self.number as u32].map(u32::to_le_bytes);
        std::array::from_fn(|at| words[at / 4][at % 4])
    }
}

/// Bytes laid out member by member.
#[derive(Debug, Default, Clone, PartialEq, Eq)]
pub struct Packed {
    /// The bytes so far.
    pub bytes: Vec<u8>,
}

impl Packed {
    pub(super) fn align(&mut self, to: usize) {
        let end = self.bytes.len().next_multiple_of(to);
        self.bytes.resize(end, 0);
    }

    pub(super) fn float(&mut self, value: f64) {
        self.bytes.extend_from_slice(&(value as f32).to_le_bytes());
    }

    pub(super) fn whole(&mut self, value: u32) {
        self.bytes.extend_from_slice(&value.to_le_bytes());
    }
}

/// Size and alignment in bytes of a constant.
fn measure(constant: &Constant) -> (usize, usize) {
    match constant {
        Constant::Scalar(_) | Constant::Break(_) | Constant::TableLength(_) | Constant::TableStart => (4, 4),
        Constant::Triple(_) => (12, 16),
        Constant::Matrix(_) => (48, 16),
    }
}

/// Name, offset and size in bytes of every member of a struct with these constants.
pub fn members(constants: &Constants) -> Vec<(&'static str, usize, usize)> {
    let mut at = 0usize;
    constants
        .iter()
        .map(|(name, constant)| {
            let (size, align) = measure(constant);
            let offset = at.next_multiple_of(align);
            at = offset + size;
            (*name, offset, size)
        })
        .collect()
}

fn pack(packed: &mut Packed, constants: &Constants, table_start: u32) {
    packed.align(16);
    for (_, constant) in constants {
        packed.align(measure(constant).1);
        match constant {
            Constant::Scalar(value) | Constant::Break(value) => packed.float(*value),
            Constant::Triple(values) => values.iter().for_each(|&value| packed.float(value)),
            Constant::TableLength(length) => packed.whole(*length),
            Constant::TableStart => packed.whole(table_start),
            // WGSL holds columns, each on 16 bytes.
            Constant::Matrix(rows) => {
                for column in 0..3 {
                    packed.align(16);
                    rows.iter().for_each(|row| packed.float(row[column]));
                }
                packed.align(16);
            }
        }
    }
}

/// The settings of a pass. The first word, the pixel count, and the place of dithered pixels are left to the
/// device.
pub(super) fn settings(slots: &[Member], source: Edge, result: Edge) -> Vec<u8> {
    let mut packed = head(source, result.stored_from_signal());
    if result.dither().is_some() {
        debug_assert_eq!(packed.bytes.len() as u64, Place::AT, "the place follows the head");
        // One row, until a frame says otherwise.
        packed.bytes.extend_from_slice(&Place { width: u32::MAX, left: 0, top: 0, number: 0 }.bytes());
    }
    members_of(&mut packed, slots);
    packed.bytes
}

/// The members of [`HEAD`]; the first word is left to the device.
pub(super) fn head(source: Edge, result: (f64, f64)) -> Packed {
    let mut packed = Packed::default();
    packed.whole(0);
    let (scale, offset) = source.signal_from_stored();
    for value in [scale, offset, result.0, result.1] {
        packed.float(value);
    }
    packed
}

/// Constants and flags, each on sixteen bytes.
pub(super) fn members_of(packed: &mut Packed, slots: &[Member]) {
    for slot in slots {
        match slot {
            Member::Step { constants, table_start, .. } => pack(packed, constants, *table_start),
            Member::Active(active) => {
                packed.align(16);
                packed.whole(u32::from(*active));
            }
        }
    }
    packed.align(16);
}

/// How wrong a mutated constant is, relative to its size or to one, whichever is larger.
const WRONG: f64 = 1e-4;
/// How far a mutated break is moved. Branches meet at a break, so a small move would not show.
const MOVED: f64 = 0.25;

/// Makes one scalar wrong: constants by 1e-4, breaks by a quarter.
pub(super) fn mutate(constants: &mut Constants, scalar: usize) {
    let mut at = 0;
    for (_, constant) in constants {
        let values: Vec<&mut f64> = match constant {
            Constant::Break(value) => {
                if at == scalar {
                    *value += MOVED * value.abs().max(0.1);
                }
                at += 1;
                continue;
            }
            Constant::Scalar(value) => vec![value],
            Constant::Triple(values) => values.iter_mut().collect(),
            Constant::Matrix(rows) => rows.iter_mut().flatten().collect(),
            Constant::TableLength(_) | Constant::TableStart => continue,
        };
        for value in values {
            if at == scalar {
                *value += WRONG * value.abs().max(1.0);
            }
            at += 1;
        }
    }
}

/// How many scalars `mutate` can make wrong.
pub fn scalar_count(constants: &Constants) -> usize {
    let count = |constant: &Constant| match constant {
        Constant::Scalar(_) | Constant::Break(_) => 1,
        Constant::Triple(_) => 3,
        Constant::Matrix(_) => 9,
        Constant::TableLength(_) | Constant::TableStart => 0,
    };
    constants.iter().map(|(_, constant)| count(constant)).sum()
}
