//! The settings of a counting kernel, as `shaders/passes/scopes*.wgsl` declare them.

use measure::scopes::{Axis, Chromaticity, Span, Vectorscope, Waveform, WaveformOf};

use super::super::layout::Packed;
use super::{CountKernel, Counted, HELD_HALVES, Kernel, Tiles, Trace};

/// Held from nowhere: `DIRECT` of the shader.
const DIRECT: u32 = 1 << 31;
/// Words of a place of a plane: a cell and its count.
const PLACE_WORDS: u32 = 2;

/// How a plane's cells share held memory.
#[derive(Clone, Copy)]
struct Places {
    from: u32,
    /// A power of two.
    count: u32,
}

impl Kernel<'_> {
    /// Everything between the head and the constants of the steps.
    pub(super) fn pack(&self, packed: &mut Packed) {
        packed.align(16);
        debug_assert_eq!(packed.bytes.len() as u64, CountKernel::PIECE_AT, "the piece follows the head");
        words(packed, &[0; 6]);
        packed.align(16);
        match self.tiles {
            Tiles::Columns { columns, group, band, walk } => {
                words(packed, &[columns, self.region.width(), group, band, walk]);
            }
            Tiles::Area { walk } => packed.whole(walk),
        }
        let planes = self
            .counted
            .iter()
            .filter(|counted| matches!(counted.trace, Trace::Vectorscope(_) | Trace::Chromaticity(_)));
        let planes = planes.count() as u32;
        // Levels are held from the front on, in halves of words; planes share what is left.
        let mut halves = 0;
        let held: Vec<u32> = self
            .counted
            .iter()
            .map(|counted| {
                let length = self.levels(counted);
                // Every plane keeps room for a few cells at least.
                let room = HELD_HALVES.saturating_sub(halves + planes * 2 * PLACE_WORDS * 65);
                if length > room {
                    return DIRECT;
                }
                halves += length;
                halves - length
            })
            .collect();
        let mut next = halves.div_ceil(2);
        let room = (HELD_HALVES / 2 - next).checked_div(planes).unwrap_or(0);
        // One more place is for what is counted apart.
        let count = 1 << (room / PLACE_WORDS).saturating_sub(1).max(1).ilog2();
        for (counted, from) in self.counted.iter().zip(held) {
            packed.align(16);
            let base = counted.grid.base;
            match counted.trace {
                Trace::Waveform(scope) => {
                    axis(packed, scope.axis());
                    words(packed, &[base, counted.apart(), from, counted.grid.shape.planes]);
                    waveform(packed, scope);
                }
                Trace::Histogram(scope) => {
                    axis(packed, &scope.axis);
                    words(packed, &[base, counted.apart(), from]);
                }
                Trace::Vectorscope(scope) => {
                    axes(packed, [scope.across(), scope.up()]);
                    plane(packed, counted, Places { from: next, count });
                    vectorscope(packed, scope);
                }
                Trace::Chromaticity(scope) => {
                    axes(packed, [scope.across(), scope.up()]);
                    plane(packed, counted, Places { from: next, count });
                    chromaticity(packed, scope);
                }
            }
            if matches!(counted.trace, Trace::Vectorscope(_) | Trace::Chromaticity(_)) {
                next += PLACE_WORDS * (count + 1);
            }
        }
    }

    /// How many counts of 16 bits a workgroup must hold for a trace of levels; more than there are where one count could
    /// hold more pixels than it can say.
    fn levels(&self, counted: &Counted<'_>) -> u32 {
        let shape = counted.grid.shape;
        let levels = shape.planes.saturating_mul(shape.rows);
        match (counted.trace, self.tiles) {
            (Trace::Waveform(_), Tiles::Columns { columns, group, band, .. }) => {
                let a_column = u64::from(self.region.width().div_ceil(columns)) * u64::from(band);
                if a_column > u64::from(super::MOST_HELD) { u32::MAX } else { levels.saturating_mul(group) }
            }
            (Trace::Histogram(_), _) => levels,
            _ => 0,
        }
    }
}

fn words(packed: &mut Packed, words: &[u32]) {
    words.iter().for_each(|word| packed.whole(*word));
}

fn floats(packed: &mut Packed, values: impl IntoIterator<Item = f64>) {
    values.into_iter().for_each(|value| packed.float(value));
}

fn axes(packed: &mut Packed, axes: [&Axis; 2]) {
    axes.into_iter().for_each(|one| axis(packed, one));
}

fn axis(packed: &mut Packed, axis: &Axis) {
    packed.align(16);
    floats(packed, axis.scale_and_offset());
    let (first, codes) = if let Span::Codes { first, count, .. } = axis.span() { (first, count) } else { (0, 0) };
    words(packed, &[axis.bins(), first.cast_unsigned(), codes]);
    packed.align(16);
}

fn waveform(packed: &mut Packed, scope: &Waveform) {
    let weights = if let WaveformOf::Luma(weights) = scope.of() { weights } else { [0.0; 3] };
    packed.align(16);
    floats(packed, weights);
    packed.align(16);
    words(packed, &scope.code_luma().map_or([0; 3], |luma| luma.weights));
}

fn plane(packed: &mut Packed, counted: &Counted<'_>, places: Places) {
    packed.align(16);
    // A block of places that is about as wide as it is high.
    let bits = places.count.ilog2();
    let column_bits = bits.div_ceil(2);
    let row_mask = (1 << (bits - column_bits)) - 1;
    let shape = counted.grid.shape;
    let apart = counted.apart();
    let dark = apart + 3;
    words(packed, &[counted.grid.base, shape.columns, apart, dark, places.from, places.count, column_bits, row_mask]);
}

fn vectorscope(packed: &mut Packed, scope: &Vectorscope) {
    for row in scope.rows() {
        packed.align(16);
        floats(packed, row.map(f64::from));
    }
    let (rows, middle) = scope.codes().map_or(([[0; 3]; 2], 0), |codes| (codes.rows, codes.middle));
    for row in rows {
        packed.align(16);
        words(packed, &row.map(i32::cast_unsigned));
    }
    packed.whole(middle.cast_unsigned());
}

fn chromaticity(packed: &mut Packed, scope: &Chromaticity) {
    for row in scope.rows() {
        packed.align(16);
        floats(packed, row.map(f64::from));
    }
    packed.float(f64::from(scope.darkest()));
}
