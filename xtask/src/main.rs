//! Set-up and chores: everything a newcomer or a CI runs that is not the product itself.
//!
//! Standard library only, so that `cargo xtask` starts within seconds on a machine that has nothing but Rust.

mod adapter;
mod bench;
mod count;
mod demo;
mod dump;
mod failure;
mod new_op;
mod packages;
mod paths;
mod python;
mod runtime;
mod steps;
mod test;

use failure::Failure;
use std::process::ExitCode;

/// A chore: what is typed, what it does, and the function that does it.
struct Chore {
    name: &'static str,
    arguments: &'static str,
    about: &'static str,
    run: fn(&[String]) -> Result<(), Failure>,
}

const CHORES: [Chore; 5] = [
    Chore {
        name: "demo",
        arguments: "[DIR]",
        about: "install what is missing, build, write the demo sequence and render it corrected",
        run: demo::run,
    },
    Chore {
        name: "test",
        arguments: "[--quick]",
        about: "install what tests need and pass them; --quick leaves out format, lints and outside tables",
        run: test::run,
    },
    Chore {
        name: "bench",
        arguments: "[ARGS]",
        about: "build in release and time the chain on the GPU against plain copies and the proof",
        run: bench::run,
    },
    Chore {
        name: "dump",
        arguments: "CHAIN",
        about: "print what a chain becomes: elaborated graph, plan, WGSL",
        run: dump::run,
    },
    Chore {
        name: "new-op",
        arguments: "NAME",
        about: "write the two files of a new operation and print the registry line to add",
        run: new_op::run,
    },
];

fn main() -> ExitCode {
    let arguments: Vec<String> = std::env::args().skip(1).collect();
    let Some((name, rest)) = arguments.split_first() else {
        print!("{}", listing());
        return ExitCode::SUCCESS;
    };
    if matches!(name.as_str(), "help" | "--help" | "-h") {
        print!("{}", listing());
        return ExitCode::SUCCESS;
    }
    let Some(chore) = CHORES.iter().find(|chore| chore.name == name) else {
        eprint!("There is no chore '{name}'.\n\n{}", listing());
        return ExitCode::from(2);
    };
    match (chore.run)(rest) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("cargo xtask {name}: {failure}");
            if failure.is_wrong_use() {
                eprintln!("Use: cargo xtask {} {}", chore.name, chore.arguments);
            }
            ExitCode::from(failure.exit_code())
        }
    }
}

/// The chores with one line each.
fn listing() -> String {
    let mut text = String::from("cargo xtask CHORE, where CHORE is one of\n");
    for chore in &CHORES {
        let typed = format!("{} {}", chore.name, chore.arguments);
        text.push_str(&format!("  {typed:<18} {}\n", chore.about));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn listing_names_every_chore_on_one_line_of_at_most_120_columns() {
        let text = listing();
        for chore in &CHORES {
            assert!(text.contains(&format!("  {} ", chore.name)), "{}", chore.name);
        }
        assert!(text.lines().all(|line| line.len() <= 120));
        assert_eq!(text.lines().count(), CHORES.len() + 1);
    }
}
