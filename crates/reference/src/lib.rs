//! The proof: the elaborated graph walked in f64, step by step, by the textbook formula.
//!
//! It is an independent reading of what the GPU runs: it knows neither plan nor derived constants.
//! Where there is no adapter it renders, and it is the oracle of the tests.

mod bound;
pub mod orders;
mod proof;

pub use bound::Bound;
pub use proof::Proof;

#[cfg(test)]
mod tests;
