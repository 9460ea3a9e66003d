//! Running programs as named, timed steps.

use crate::failure::Failure;
use crate::paths;
use std::env;
use std::ffi::OsString;
use std::io;
use std::process::Command;
use std::time::{Duration, Instant};

/// The names and times of the steps done so far.
#[derive(Debug, Default)]
pub struct Steps {
    done: Vec<(String, Duration)>,
}

impl Steps {
    /// Prints the step's name, does its work, prints its time.
    ///
    /// # Errors
    /// The work's own.
    pub fn run<T>(&mut self, name: &str, work: impl FnOnce() -> Result<T, Failure>) -> Result<T, Failure> {
        println!("\n== {name}");
        let start = Instant::now();
        let outcome = work();
        let time = start.elapsed();
        self.done.push((name.to_owned(), time));
        let word = if outcome.is_ok() { "done" } else { "failed" };
        println!("== {name}: {word} in {}", seconds(time));
        outcome
    }

    /// One line a step, with its time.
    pub fn summary(&self) -> String {
        let width = self.done.iter().map(|(name, _)| name.len()).max().unwrap_or(0);
        self.done.iter().map(|(name, time)| format!("{name:<width$} {:>9}\n", seconds(*time))).collect()
    }
}

fn seconds(time: Duration) -> String {
    format!("{:.1} s", time.as_secs_f64())
}

/// The cargo that started us, working in the checkout's root.
pub fn cargo() -> Command {
    program(env::var_os("CARGO").unwrap_or_else(|| OsString::from("cargo")))
}

/// A program, working in the checkout's root.
pub fn program(name: impl Into<OsString>) -> Command {
    let mut command = Command::new(name.into());
    command.current_dir(paths::root());
    command
}

/// Runs the command to its end, its output going where ours goes.
///
/// # Errors
/// When the program does not start or ends with a failure; the message shows the whole command.
pub fn finish(command: &mut Command) -> Result<(), Failure> {
    let status = command.status().map_err(|error| cannot_start(command, &error))?;
    if status.success() { Ok(()) } else { Err(Failure::work(format!("`{}` ended with {status}", shown(command)))) }
}

/// Whether the command runs and succeeds; its output is thrown away.
pub fn succeeds(command: &mut Command) -> bool {
    command.output().is_ok_and(|output| output.status.success())
}

/// The failure of a program that did not start.
pub fn cannot_start(command: &Command, error: &io::Error) -> Failure {
    Failure::work(format!("`{}` does not start: {error}", shown(command)))
}

/// The command as it would be typed.
pub fn shown(command: &Command) -> String {
    std::iter::once(command.get_program())
        .chain(command.get_args())
        .map(|part| {
            let text = part.to_string_lossy();
            if text.contains([' ', '|']) { format!("'{text}'") } else { text.into_owned() }
        })
        .collect::<Vec<_>>()
        .join(" ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn summary_has_a_line_for_failed_steps_too() {
        let mut steps = Steps::default();
        steps.run("first", || Ok(())).unwrap();
        let failed: Result<(), _> = steps.run("second step", || Err(Failure::work("no")));
        assert_eq!(failed, Err(Failure::work("no")));
        let summary = steps.summary();
        assert_eq!(summary.lines().count(), 2);
        assert!(summary.lines().all(|line| line.ends_with(" s")));
    }

    #[test]
    fn a_program_that_is_not_there_is_named() {
        let message = finish(&mut program("no-program-has-this-name")).unwrap_err().to_string();
        assert!(message.contains("no-program-has-this-name"), "{message}");
    }

    #[test]
    fn a_chain_is_shown_quoted() {
        let mut command = Command::new("greywright");
        command.args(["eval", "--chain", "exposure stops=1 | encode"]);
        assert_eq!(shown(&command), "greywright eval --chain 'exposure stops=1 | encode'");
    }
}
