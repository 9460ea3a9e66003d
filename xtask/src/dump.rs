//! `cargo xtask dump CHAIN`: what a chain becomes on its way to the GPU.

use crate::failure::Failure;
use crate::steps::{cargo, finish};
use std::process::Stdio;

/// Prints the chain's elaborated graph, its plan before and after the optimiser, and the WGSL.
///
/// # Errors
/// When no chain is given, or the binary refuses it.
pub fn run(arguments: &[String]) -> Result<(), Failure> {
    if arguments.is_empty() {
        return Err(Failure::wrong_use("give a chain, in quotes: 'exposure stops=+1 | saturation factor=0.9'"));
    }
    let chain = arguments.join(" ");
    finish(
        cargo()
            .args(["run", "--quiet", "--locked", "--package", "greywright", "--"])
            .args(["eval", "--explain", "--chain", &chain])
            .stdin(Stdio::null()),
    )
}
