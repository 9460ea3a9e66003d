//! `cargo xtask bench`: timings as ratios, on this machine's adapter.

use crate::failure::Failure;
use crate::paths;
use crate::steps::{cargo, finish, program};

/// Builds in release and runs `greywright pace` with the arguments given.
///
/// # Errors
/// When the build or the timing fails.
pub fn run(arguments: &[String]) -> Result<(), Failure> {
    finish(cargo().args(["build", "--release", "--locked", "--package", "greywright"]))?;
    finish(program(paths::greywright("release")?).arg("pace").args(arguments))
}
