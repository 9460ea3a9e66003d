//! `cargo xtask new-op NAME`: the skeleton of an operation's room and its shader.

use crate::failure::Failure;

/// placeholder
pub fn run(_arguments: &[String]) -> Result<(), Failure> {
    Err(Failure::work("not yet"))
}
