//! What a chain means and how it runs, as text.

use std::fmt::Write as _;

use gpu::assemble::{Edge, assemble};
use graph::Elaborated;
use plan::{Level, Plan};

use super::Chain;
use crate::Fault;

/// The elaborated graph, the plan before and after the optimiser, and the WGSL.
///
/// # Errors
/// A plan that cannot run on a GPU.
pub fn explain(chain: &Chain, elaborated: &Elaborated, source: Edge, result: Edge) -> Result<String, Fault> {
    let (title, rendering) = (chain.title(), elaborated.rendering_in_words());
    let mut text = format!("what it means: {title}\n{elaborated}rendering: {rendering}\n");
    for (title, level) in [("\nthe plan as elaborated", Level::None), ("\nthe plan optimised", Level::Full)] {
        let _ = write!(text, "{title}\n{}", Plan::new(elaborated, level));
    }
    let program = assemble(&Plan::new(elaborated, Level::Full), source, result)?;
    for (number, pass) in program.passes.iter().enumerate() {
        let _ = write!(text, "\nthe WGSL of pass {number}\n{}", pass.wgsl);
    }
    Ok(text)
}
