//! Scopes as kernels that count on the device, cell for cell as `measure::scopes` does.
//!
//! A kernel reads a picture once, runs the last pass of a plan on each pixel in registers (none for an original, or for a
//! picture that an earlier pass has written) and counts for several scopes. Waveforms share one kernel, whose workgroups hold a
//! few columns; the others share one whose workgroups hold an area. Bins, axes and regions are settings: another one compiles
//! nothing.

mod pack;
mod text;

use frame::Samples;
use measure::Tap;
use measure::scopes::{Chromaticity, Counts, Histogram, Region, Scope, Shape, Vectorscope, Waveform};
use ops::Derived;
use plan::{Instruction, Item, Pass, Plan, Value};

use super::layout::{self, Member};
use super::text::body;
use super::{AssembleError, Edge, LineMap, PassProgram, check, one_pass, step_count};

/// Counts of 16 bits that a workgroup holds: twice `HELD_WORDS` of `passes/scopes.wgsl`.
const HELD_HALVES: u32 = 8192;
/// The most pixels that a held count can hold.
const MOST_HELD: u32 = 65535;
/// Workgroups that keep a large device busy.
const ENOUGH_WORKGROUPS: u32 = 1024;
/// Columns of an area that a workgroup counts, a thread each and the rest of the threads below each other.
pub(super) const AREA_COLUMNS: u32 = 32;
/// From so many steps on, or where it looks into tables, a pass that several kernels count is run once and its picture written
/// for them: it costs each kernel more than four floats a pixel, written once and read by each (`pace --held`).
const WRITTEN_FROM_STEPS: usize = 8;
/// Counts that follow each grid: not a number and dark, a plane each.
const APART: u64 = 6;

/// One scope to be counted.
#[derive(Debug, Clone, PartialEq)]
pub enum Trace {
    /// Levels by columns; also the parade.
    Waveform(Waveform),
    /// Colour difference.
    Vectorscope(Vectorscope),
    /// Levels.
    Histogram(Histogram),
    /// Chromaticity.
    Chromaticity(Chromaticity),
}

impl Trace {
    /// Its definition.
    pub fn scope(&self) -> &dyn Scope {
        match self {
            Trace::Waveform(scope) => scope,
            Trace::Vectorscope(scope) => scope,
            Trace::Histogram(scope) => scope,
            Trace::Chromaticity(scope) => scope,
        }
    }

    /// The file that counts for it.
    fn file(&self) -> &'static str {
        match self {
            Trace::Waveform(_) => "passes/scopes_waveform.wgsl",
            Trace::Vectorscope(_) => "passes/scopes_vectorscope.wgsl",
            Trace::Histogram(_) => "passes/scopes_histogram.wgsl",
            Trace::Chromaticity(_) => "passes/scopes_chromaticity.wgsl",
        }
    }
}

/// Where the counts of a scope lie among all counts, in words: its cells as [`Shape::index`] orders them, then for each of
/// three planes what is not a number, then for each what is dark.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct GridPlace {
    /// The first cell.
    pub base: u32,
    /// The grid.
    pub shape: Shape,
}

/// How a kernel's work is cut into workgroups.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Tiles {
    /// Columns of the grid and rows of the picture a workgroup, rows a thread.
    Columns { columns: u32, group: u32, band: u32, walk: u32 },
    /// Rows a thread.
    Area { walk: u32 },
}

/// One kernel, ready for a device.
#[derive(Debug, Clone, PartialEq)]
pub struct CountKernel {
    /// The whole WGSL.
    pub wgsl: String,
    /// Which line of which file each line came from.
    pub lines: LineMap,
    /// The settings' bytes; the device writes the piece at [`CountKernel::PIECE_AT`].
    pub settings: Vec<u8>,
    /// Tables, one after the other; never empty.
    pub tables: Vec<f32>,
    tiles: Tiles,
}

impl CountKernel {
    /// Where the six words of a piece begin in the settings.
    pub const PIECE_AT: u64 = 32;

    /// Workgroups for a part of the region.
    pub fn workgroups(&self, part: Region) -> [u32; 2] {
        match self.tiles {
            Tiles::Columns { columns, group, band, .. } => [columns.div_ceil(group), part.height().div_ceil(band)],
            Tiles::Area { walk } => {
                let rows = walk * (super::WORKGROUP / AREA_COLUMNS);
                [part.width().div_ceil(AREA_COLUMNS), part.height().div_ceil(rows)]
            }
        }
    }
}

/// Scopes of a region of a picture, ready for a device.
#[derive(Debug, Clone, PartialEq)]
pub struct ScopesProgram {
    /// Passes before the last one of the plan; mostly none.
    pub before: Vec<PassProgram>,
    /// The last pass of the plan, and the counting.
    pub kernels: Vec<CountKernel>,
    /// Where each scope's counts lie, in the order asked for.
    pub grids: Vec<GridPlace>,
    /// Words of all counts.
    pub words: u32,
    /// How the picture is stored.
    pub source: Edge,
    /// What is counted.
    pub region: Region,
}

impl ScopesProgram {
    /// The part of the region in a piece of the picture, and the six words of `Piece` in `passes/scopes.wgsl`; none where
    /// they do not meet.
    pub fn piece(&self, piece: Region) -> Option<(Region, [u32; 6])> {
        let part = piece.meet(self.region)?;
        let (left, top) = (part.x() - piece.x(), part.y() - piece.y());
        let words = [piece.width(), left, top, part.width(), part.height(), part.x() - self.region.x()];
        Some((part, words))
    }

    /// The counts of each scope among all that a device has counted; none where there are too few words.
    pub fn counts(&self, words: &[u32]) -> Option<Vec<Counts>> {
        let one = |grid: &GridPlace| {
            let (base, cells) = (grid.base as usize, grid.shape.cells());
            let apart: [u32; 6] = words.get(base + cells..)?.first_chunk().copied()?;
            let [not_a_number, dark] = [[apart[0], apart[1], apart[2]], [apart[3], apart[4], apart[5]]];
            Counts::from_cells(grid.shape, words.get(base..base + cells)?.to_vec(), not_a_number, dark)
        };
        self.grids.iter().map(one).collect()
    }
}

/// Scopes of a region, at the end of a plan whose result is what `tap` says. Waveforms must be of this region.
///
/// Integer codes are counted as such, by integer arithmetic alone, where the plan has no work, the picture is stored in them
/// without alpha, and the scope's axis is of their depth.
///
/// # Errors
/// A shader that is missing or does not hold; grids of more words than an index has, which is a defect of the caller.
pub fn assemble_scopes(
    plan: &Plan,
    source: Edge,
    tap: &Tap,
    traces: &[Trace],
    region: Region,
) -> Result<ScopesProgram, AssembleError> {
    let mut before = Vec::new();
    let (last, earlier) = plan.passes.split_last().ok_or(AssembleError::NoPass)?;
    for (number, pass) in earlier.iter().enumerate() {
        let from = if number == 0 { source } else { Edge::Between };
        before.push(one_pass(pass, from, Edge::Between, None, &mut 0)?);
    }
    let (grids, words) = places(traces)?;
    let from = if before.is_empty() { source } else { Edge::Between };
    let codes = if plan.steps().is_empty() { code_bits(source) } else { None };
    let kernels = kernels(traces, region);
    let steps: usize = last.instructions.iter().map(|instruction| step_count(&instruction.item)).sum();
    let written = one_pass(last, from, Edge::Between, None, &mut 0)?;
    let is_long = steps >= WRITTEN_FROM_STEPS || written.tables.len() > 1;
    let (from, last) = if kernels.len() > 1 && is_long {
        before.push(written);
        (Edge::Between, &Pass { instructions: Vec::new(), reads: last.writes, writes: last.writes })
    } else {
        (from, last)
    };
    let kernels = kernels
        .into_iter()
        .map(|(tiles, members)| {
            let counted = members.iter().map(|at| Counted::new(&traces[*at], grids[*at], codes)).collect();
            Kernel { pass: last, source: from, tap, counted, tiles, region }.assemble()
        })
        .collect::<Result<_, _>>()?;
    Ok(ScopesProgram { before, kernels, grids, words, source, region })
}

/// The depth of a picture's integer codes, where it is stored in them and nothing is multiplied into them.
fn code_bits(source: Edge) -> Option<u32> {
    let (layout, _) = source.stored()?;
    (!layout.is_float() && !layout.has_alpha()).then(|| layout.bits())
}

fn places(traces: &[Trace]) -> Result<(Vec<GridPlace>, u32), AssembleError> {
    let mut words = 0u64;
    let mut grids = Vec::with_capacity(traces.len());
    for trace in traces {
        let shape = trace.scope().shape();
        // A kernel needs the highest bit.
        let base = u32::try_from(words).ok().filter(|base| *base < 1 << 31).ok_or(AssembleError::TooManyCells)?;
        grids.push(GridPlace { base, shape });
        words += shape.cells() as u64 + APART;
    }
    let words = u32::try_from(words).ok().filter(|words| *words < 1 << 31).ok_or(AssembleError::TooManyCells)?;
    Ok((grids, words))
}

/// Which traces share a kernel, and how its work is cut.
fn kernels(traces: &[Trace], region: Region) -> Vec<(Tiles, Vec<usize>)> {
    let mut kernels: Vec<(u32, u32, Vec<usize>)> = Vec::new();
    let mut areas = Vec::new();
    for (at, trace) in traces.iter().enumerate() {
        let Trace::Waveform(waveform) = trace else {
            areas.push(at);
            continue;
        };
        let Shape { planes, columns, rows } = waveform.shape();
        let levels = planes * rows;
        // Those of the same columns share a kernel while a column of all of them can be held.
        match kernels.iter_mut().find(|(of, held, _)| *of == columns && held.saturating_add(levels) <= HELD_HALVES) {
            Some((_, held, members)) => {
                *held += levels;
                members.push(at);
            }
            None => kernels.push((columns, levels, vec![at])),
        }
    }
    let mut all: Vec<_> =
        kernels.into_iter().map(|(columns, levels, members)| (columns_of(columns, levels, region), members)).collect();
    if !areas.is_empty() {
        // As few additions to the grids as keep a large device busy.
        let a_row = region.width().div_ceil(AREA_COLUMNS);
        let threads_down = super::WORKGROUP / AREA_COLUMNS;
        let walk = (a_row * region.height().div_ceil(threads_down)).div_ceil(ENOUGH_WORKGROUPS).clamp(8, 64);
        all.push((Tiles::Area { walk }, areas));
    }
    all
}

/// As many columns as can be held, and few enough rows that their counts fit and a large device is kept busy.
fn columns_of(columns: u32, levels: u32, region: Region) -> Tiles {
    let group = (HELD_HALVES / levels).clamp(1, columns);
    let bands = (ENOUGH_WORKGROUPS / columns.div_ceil(group)).max(1);
    let a_column = region.width().div_ceil(columns);
    let busy = region.height().div_ceil(bands).max(64);
    let band = busy.min((MOST_HELD / a_column).max(1)).min(region.height());
    let pixels = (u64::from(region.width()) * u64::from(group)).div_ceil(u64::from(columns)) * u64::from(band);
    let walk = pixels.div_ceil(u64::from(super::WORKGROUP)).clamp(8, 64) as u32;
    Tiles::Columns { columns, group, band, walk }
}

/// A trace in a kernel.
struct Counted<'a> {
    trace: &'a Trace,
    grid: GridPlace,
    /// Whether it counts the picture's integer codes.
    by_code: bool,
}

impl<'a> Counted<'a> {
    fn new(trace: &'a Trace, grid: GridPlace, codes: Option<u32>) -> Self {
        let by_code = codes.is_some() && trace.scope().code_bits() == codes;
        Self { trace, grid, by_code }
    }

    fn apart(&self) -> u32 {
        self.grid.base + self.grid.shape.cells() as u32
    }
}

/// What a kernel is made of.
struct Kernel<'a> {
    pass: &'a Pass,
    source: Edge,
    tap: &'a Tap,
    counted: Vec<Counted<'a>>,
    tiles: Tiles,
    region: Region,
}

impl Kernel<'_> {
    fn assemble(&self) -> Result<CountKernel, AssembleError> {
        let (mut slots, mut tables) = (Vec::new(), Vec::new());
        let mut derive = |derived: Derived, _: usize| {
            let start = u32::try_from(tables.len()).unwrap_or(u32::MAX);
            tables.extend(derived.table.iter().map(|&entry| entry as f32));
            (derived.constants, start)
        };
        let (pass, light) = self.with_light();
        let body = body(&pass, &mut slots, &mut derive);
        let (wgsl, lines) = self.text(&body, &slots, light)?;
        check(&wgsl, &lines)?;
        if tables.is_empty() {
            tables.push(0.0);
        }
        Ok(CountKernel { wgsl, lines, settings: self.settings(&slots), tables, tiles: self.tiles })
    }

    /// The pass and behind it the way to light, where a trace counts light; and the picture that is light.
    fn with_light(&self) -> (Pass, Value) {
        if self.counted.iter().any(|counted| counted.trace.scope().of_light()) {
            return with_light(self.pass, self.tap);
        }
        (self.pass.clone(), self.pass.writes)
    }

    fn settings(&self, slots: &[Member]) -> Vec<u8> {
        // Signal to code, where codes are counted; nothing is stored.
        let highest = self.source.stored().map_or(1, |(layout, _)| Samples::highest_code(layout.samples));
        let (scale, offset) = self.source.stored_from_signal();
        let mut packed = layout::head(self.source, (scale * f64::from(highest), offset * f64::from(highest)));
        self.pack(&mut packed);
        layout::members_of(&mut packed, slots);
        packed.bytes
    }
}

/// A pass and behind it the way to light; and the picture that is light.
pub(super) fn with_light(pass: &Pass, tap: &Tap) -> (Pass, Value) {
    let mut pass = pass.clone();
    let mut light = pass.writes;
    let made = pass.instructions.iter().map(|instruction| instruction.to.0).max().unwrap_or(0);
    for (next, step) in (made.max(light.0) + 1..).zip(tap.light_steps()) {
        let (from, to) = (light, Value(next));
        pass.instructions.push(Instruction { from, side: None, to, item: Item::Point(step) });
        light = to;
    }
    (pass, light)
}
