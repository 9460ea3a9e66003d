//! Elaborated graph to plan: optimiser passes and fusion. Pure data with a readable dump.
//!
//! A plan may only make a chain faster; it never changes what the chain means, and its shape depends
//! on wiring, domains, encodings and bypass, never on the value of a setting.

mod lower;
mod optimise;
mod passes;
mod plan;

pub use optimise::Change;
pub use plan::{Factor, Instruction, Item, Level, Pass, Plan, Value, is_by_channel};
