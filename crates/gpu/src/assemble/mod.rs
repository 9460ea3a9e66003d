//! Plan to WGSL text and setting bytes.
//!
//! Every pass has one layout: settings (uniform), tables, source and result (storage). The text of a
//! pass depends on the plan's shape and on the layouts at its edges; the value of a setting is in its
//! bytes alone, so moving a slider compiles nothing.

mod check;
mod edge;
mod imports;
mod layout;
mod scopes;
mod text;
mod view;

pub use check::{CheckError, check};
pub use edge::Edge;
pub use imports::{ImportError, LineMap, Sources};
pub use layout::{Member, Packed, Place, members, scalar_count};
pub use scopes::{CountKernel, GridPlace, ScopesProgram, Trace, assemble_scopes};
pub use text::group_of;
pub use view::assemble_view;

use colour::Affine;
use frame::Dither;
use ops::{Constant, Derived};
use plan::{Factor, Item, Pass, Plan, is_by_channel};

/// Threads of a workgroup.
pub const WORKGROUP: u32 = 128;

/// One pass, ready for a device.
#[derive(Debug, Clone, PartialEq)]
pub struct PassProgram {
    /// The whole WGSL.
    pub wgsl: String,
    /// Which line of which file each line came from.
    pub lines: LineMap,
    /// The settings' bytes; the pixel count is written in front when a size is known.
    pub settings: Vec<u8>,
    /// Tables, one after the other; never empty.
    pub tables: Vec<f32>,
    /// How its source is stored.
    pub source: Edge,
    /// How its result is stored.
    pub result: Edge,
    /// Whether a [`Place`] follows the head of its settings.
    pub placed: bool,
}

/// A plan, ready for a device.
#[derive(Debug, Clone, PartialEq)]
pub struct Program {
    /// In order; at least one.
    pub passes: Vec<PassProgram>,
}

/// Why a plan could not be assembled. None of these is caused by a user's settings.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum AssembleError {
    /// A file that is named but not there.
    #[error(transparent)]
    Import(#[from] ImportError),
    /// WGSL that does not hold.
    #[error(transparent)]
    Check(#[from] CheckError),
    /// A plan without a pass.
    #[error("the plan has no pass")]
    NoPass,
    /// Scopes of more cells than a kernel can tell apart.
    #[error("these scopes have more than 2^31 cells together; give them fewer columns or bins")]
    TooManyCells,
}

/// One derived constant made wrong on purpose, to show that `verify` would notice.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mutation {
    /// Which step, counted as the plan's passes run them.
    pub step: usize,
    /// Which of its scalars, counted through its constants.
    pub scalar: usize,
}

/// Assembles a plan between two stored layouts.
///
/// # Errors
/// A shader that is missing or does not hold: a defect of the program, named by file and line.
pub fn assemble(plan: &Plan, source: Edge, result: Edge) -> Result<Program, AssembleError> {
    assemble_with(plan, source, result, None)
}

/// As [`assemble`], with one constant made wrong.
///
/// # Errors
/// As [`assemble`].
pub fn assemble_with(
    plan: &Plan,
    source: Edge,
    result: Edge,
    mutation: Option<Mutation>,
) -> Result<Program, AssembleError> {
    let last = plan.passes.len().saturating_sub(1);
    let mut counter = 0;
    let mut passes = Vec::with_capacity(plan.passes.len());
    for (number, pass) in plan.passes.iter().enumerate() {
        let source = if number == 0 { source } else { Edge::Between };
        let result = if number == last { result } else { Edge::Between };
        passes.push(one_pass(pass, source, result, mutation, &mut counter)?);
    }
    Ok(Program { passes })
}

fn one_pass(
    pass: &Pass,
    source: Edge,
    result: Edge,
    mutation: Option<Mutation>,
    counter: &mut usize,
) -> Result<PassProgram, AssembleError> {
    let mut slots = Vec::new();
    // The noise's table stands first, where the shader looks for it.
    let mut tables = result.dither().map(Dither::table).unwrap_or_default();
    let mut derive = |mut derived: Derived, steps: usize| {
        if let Some(mutation) = mutation
            && (*counter..*counter + steps).contains(&mutation.step)
        {
            layout::mutate(&mut derived.constants, mutation.scalar);
        }
        *counter += steps;
        let start = u32::try_from(tables.len()).unwrap_or(u32::MAX);
        tables.extend(derived.table.iter().map(|&entry| entry as f32));
        (derived.constants, start)
    };
    let body = text::body(pass, &mut slots, &mut derive);
    let text = text::pass(&body, &slots, source, result)?;
    check(&text.wgsl, &text.lines)?;
    let settings = layout::settings(&slots, source, result);
    if tables.is_empty() {
        tables.push(0.0);
    }
    let placed = result.dither().is_some();
    Ok(PassProgram { wgsl: text.wgsl, lines: text.lines, settings, tables, source, result, placed })
}

/// The constants of an affine item: its factors made one in f64, the first applied first.
fn combined(factors: &[Factor]) -> Derived {
    use ops::Pointwise as _;
    let Affine { matrix, offset } = factors
        .iter()
        .filter(|factor| factor.active)
        .filter_map(|factor| factor.step.point.affine(&factor.step.takes))
        .fold(Affine::IDENTITY, |all, factor| factor.after(&all));
    let offset = ("offset", Constant::Triple(offset));
    if is_by_channel(factors) {
        let gain = std::array::from_fn(|channel| matrix.0[channel][channel]);
        return Derived::new(vec![("gain", Constant::Triple(gain)), offset]);
    }
    Derived::new(vec![("matrix", Constant::Matrix(matrix.0)), offset])
}

/// How many steps of the plan an item stands for.
fn step_count(item: &Item) -> usize {
    match item {
        Item::Nothing => 0,
        Item::Point(_) => 1,
        Item::Affine(factors) => factors.len(),
        Item::Scope { inside, .. } => inside.iter().map(step_count).sum(),
        Item::Mix { main, side, leave, .. } => 1 + main.iter().chain(side).chain(leave).map(step_count).sum::<usize>(),
    }
}
