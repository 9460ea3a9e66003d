//! `cargo xtask test [--quick]`: from a bare machine to a passed test suite.

use crate::count::{self, Count, Runner};
use crate::failure::Failure;
use crate::packages::{Need, provide};
use crate::paths;
use crate::python;
use crate::runtime::RuntimeFolder;
use crate::steps::{Steps, cargo, finish, program, succeeds};
use std::path::Path;
use std::process::Command;

/// Sets up what tests need and runs every check in order, stopping at the first that fails.
/// The last line printed is `N passed, N failed`.
///
/// # Errors
/// When something is missing and may not be installed, or when a check fails.
pub fn run(arguments: &[String]) -> Result<(), Failure> {
    let quick = match arguments {
        [] => false,
        [flag] if flag == "--quick" => true,
        _ => {
            return Err(Failure::wrong_use(format!("'{}' is not known", arguments.join(" "))));
        }
    };
    let mut steps = Steps::default();
    let mut count = Count::default();
    let outcome = checks(&mut steps, &mut count, quick);
    print!("\n{}", steps.summary());
    println!("{count}");
    outcome
}

fn checks(steps: &mut Steps, count: &mut Count, quick: bool) -> Result<(), Failure> {
    steps.run("check the machine", || {
        let needs = [Need::Linker, Need::SoftwareAdapter, Need::Display, Need::Python];
        provide(if quick { &needs[..3] } else { &needs })
    })?;
    let mut interpreter = None;
    if !quick {
        steps.run("Rust's own tools", || {
            provide_component("fmt", "rustfmt")?;
            provide_component("clippy", "clippy")
        })?;
        steps.run("format", || finish(cargo().args(["fmt", "--all", "--", "--check"])))?;
        let python = steps.run("Python environment", python::environment)?;
        steps.run("outside tables", || compare_tables(&python))?;
        interpreter = Some(python);
        steps.run("lints", || finish(&mut lints()))?;
    }
    // One profile and one set of features for everything that runs: each crate is compiled once.
    steps.run("build", || finish(cargo().args(["build", "--workspace", "--all-targets", "--locked"])))?;
    let runtime = RuntimeFolder::new()?;
    let prepared = |mut command: Command| -> Result<Command, Failure> {
        set_environment(&mut command, &runtime, interpreter.as_deref())?;
        Ok(command)
    };
    let mut doc = prepared(cargo())?;
    doc.args(["test", "--doc", "--workspace", "--locked"]);
    let documentation = steps.run("examples in the documentation", || count::run(&mut doc, Runner::Cargo, count));
    let (mut tests, runner) = runner(prepared(cargo())?);
    steps.run("tests", || count::run(&mut tests, runner, count)).and(documentation)
}

/// Sees to it that a part of the Rust tools that small installations leave out is there.
fn provide_component(subcommand: &str, component: &str) -> Result<(), Failure> {
    if succeeds(cargo().args([subcommand, "--version"])) {
        return Ok(());
    }
    if paths::is_on_path("rustup") {
        return finish(program("rustup").args(["component", "add", component]));
    }
    Err(Failure::work(format!("install {component} for this Rust, then run this again")))
}

fn lints() -> Command {
    let mut command = cargo();
    command.args(["clippy", "--workspace", "--all-targets", "--locked", "--", "-D", "warnings"]);
    command
}

/// Makes the outside tables again from the reference libraries and compares them with those that tests read.
fn compare_tables(python: &Path) -> Result<(), Failure> {
    finish(program(python).args(["tests/reference/make_tables.py", "--compare", "tests/data"]))
}

/// nextest where it is installed: one process a test, so that a lost device takes no other test with it.
fn runner(mut command: Command) -> (Command, Runner) {
    if succeeds(cargo().args(["nextest", "--version"])) {
        command.args(["nextest", "run", "--workspace", "--locked"]);
        (command, Runner::Nextest)
    } else {
        command.args(["test", "--workspace", "--all-targets", "--locked", "--no-fail-fast"]);
        (command, Runner::Cargo)
    }
}

/// What tests are told. README.md lists these.
fn set_environment(command: &mut Command, runtime: &RuntimeFolder, python: Option<&Path>) -> Result<(), Failure> {
    command.env("GREYWRIGHT_BINARY", paths::greywright("debug")?);
    if let Some(python) = python {
        command.env("GREYWRIGHT_PYTHON", python);
    }
    if cfg!(target_os = "linux") {
        // The software adapter makes the same pixels everywhere, and its absence is a failure, not a skip.
        command.env("REQUIRE_GPU", "1").env("REQUIRE_WINDOW", "1").env("GREYWRIGHT_ADAPTER", "software");
    }
    runtime.give_to(command);
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn wrong_arguments_are_wrong_use() {
        assert!(run(&["--fast".to_owned()]).unwrap_err().is_wrong_use());
    }
}
