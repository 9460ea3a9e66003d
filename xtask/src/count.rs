//! Running a test runner while counting what it says: its output goes on to ours, line by line.

use crate::failure::Failure;
use crate::steps::{cannot_start, shown};
use std::fmt;
use std::io::{self, BufRead, BufReader, IsTerminal, Read, Write};
use std::ops::AddAssign;
use std::process::{Command, Stdio};
use std::thread;

/// Which runner's closing lines are read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Runner {
    /// `cargo test`: one closing line a test program.
    Cargo,
    /// `cargo nextest`: one closing line in all. A failed test's own output, which it repeats, is not counted.
    Nextest,
}

/// Tests counted.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq)]
pub struct Count {
    pub passed: u64,
    pub failed: u64,
    pub skipped: u64,
}

impl AddAssign for Count {
    fn add_assign(&mut self, other: Self) {
        self.passed += other.passed;
        self.failed += other.failed;
        self.skipped += other.skipped;
    }
}

impl fmt::Display for Count {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} passed, {} failed", self.passed, self.failed)?;
        if self.skipped > 0 {
            write!(f, ", {} skipped", self.skipped)?;
        }
        Ok(())
    }
}

/// Runs the runner to its end. The count is added to `total` whether it passes or fails.
///
/// # Errors
/// When it does not start, or tests failed.
pub fn run(command: &mut Command, runner: Runner, total: &mut Count) -> Result<(), Failure> {
    if io::stdout().is_terminal() {
        command.env("CARGO_TERM_COLOR", "always");
    }
    command.stdin(Stdio::null()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = command.spawn().map_err(|error| cannot_start(command, &error))?;
    let from_errors = child.stderr.take();
    let from_output = child.stdout.take();
    let in_errors = thread::spawn(move || forward(from_errors, io::stderr(), runner));
    *total += forward(from_output, io::stdout(), runner);
    *total += in_errors.join().unwrap_or_default();
    let status = child.wait().map_err(|error| cannot_start(command, &error))?;
    if status.success() { Ok(()) } else { Err(Failure::work(format!("`{}` ended with {status}", shown(command)))) }
}

/// Passes every line on and counts. Bytes that are no UTF-8 pass unharmed.
fn forward(from: Option<impl Read>, mut to: impl Write, runner: Runner) -> Count {
    let mut count = Count::default();
    let Some(from) = from else { return count };
    let mut lines = BufReader::new(from);
    let mut line = Vec::new();
    while lines.read_until(b'\n', &mut line).is_ok_and(|read| read > 0) {
        // A closed output must not stop the runner: keep reading.
        let _ = to.write_all(&line).and_then(|()| to.flush());
        if let Some(read) = closing_line(&without_colour(&String::from_utf8_lossy(&line)), runner) {
            count += read;
        }
        line.clear();
    }
    count
}

/// Reads a runner's closing line.
fn closing_line(line: &str, runner: Runner) -> Option<Count> {
    let line = line.trim();
    let (parts, separator) = match runner {
        Runner::Cargo => (line.strip_prefix("test result: ")?.split_once(". ")?.1, ';'),
        Runner::Nextest => {
            let said = line.strip_prefix("Summary [")?;
            (said.split_once(" run: ")?.1, ',')
        }
    };
    let mut count = Count::default();
    for part in parts.split(separator).map(str::trim) {
        // The last part of cargo's line is a time, not a count.
        if part.starts_with("finished in") {
            continue;
        }
        let (number, word) = part.split_once(' ')?;
        let number: u64 = number.parse().ok()?;
        match word.split([' ', '(']).next()? {
            "passed" => count.passed += number,
            "failed" | "timed" | "exec" => count.failed += number,
            "skipped" | "ignored" => count.skipped += number,
            _ => {}
        }
    }
    Some(count)
}

/// Takes terminal colour sequences (ECMA-48, `ESC [ ... m`) out.
fn without_colour(line: &str) -> String {
    let mut text = String::with_capacity(line.len());
    let mut pieces = line.split("\u{1b}[");
    text.push_str(pieces.next().unwrap_or(""));
    for piece in pieces {
        text.push_str(piece.split_once('m').map_or("", |(_, rest)| rest));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    fn count(passed: u64, failed: u64, skipped: u64) -> Option<Count> {
        Some(Count { passed, failed, skipped })
    }

    #[test]
    fn closing_lines_of_cargo_test() {
        let line = "test result: ok. 12 passed; 0 failed; 2 ignored; 0 measured; 5 filtered out; finished in 0.04s";
        assert_eq!(closing_line(line, Runner::Cargo), count(12, 0, 2));
        let line = "test result: FAILED. 3 passed; 1 failed; 0 ignored; 0 measured; 0 filtered out";
        assert_eq!(closing_line(line, Runner::Cargo), count(3, 1, 0));
        assert_eq!(closing_line("test colour::tests::it ... ok", Runner::Cargo), None);
    }

    #[test]
    fn closing_lines_of_nextest() {
        let line = "     Summary [   4.114s] 214 tests run: 214 passed (2 slow), 1 skipped";
        assert_eq!(closing_line(line, Runner::Nextest), count(214, 0, 1));
        let line = "     Summary [   4.114s] 5/9 tests run: 2 passed, 2 failed, 1 timed out, 0 skipped";
        assert_eq!(closing_line(line, Runner::Nextest), count(2, 3, 0));
        let repeated = "    test result: FAILED. 0 passed; 1 failed; 0 ignored; 0 measured; 8 filtered out";
        assert_eq!(closing_line(repeated, Runner::Nextest), None);
    }

    #[test]
    fn coloured_lines_are_read() {
        let line = "\u{1b}[32;1m     Summary\u{1b}[0m [   0.1s] \u{1b}[1m1\u{1b}[0m test run: \u{1b}[1m1\u{1b}[0m \u{1b}[32;1mpassed\u{1b}[0m, \u{1b}[1m0\u{1b}[0m skipped";
        assert_eq!(closing_line(&without_colour(line), Runner::Nextest), count(1, 0, 0));
    }

    #[test]
    fn output_passes_unchanged() {
        let said = b"a line\nno end \xff".as_slice();
        let mut kept = Vec::new();
        assert_eq!(forward(Some(said), &mut kept, Runner::Cargo), Count::default());
        assert_eq!(kept, said);
    }

    #[test]
    fn the_total_reads_as_a_closing_line() {
        assert_eq!(Count { passed: 7, failed: 0, skipped: 0 }.to_string(), "7 passed, 0 failed");
        assert_eq!(Count { passed: 7, failed: 1, skipped: 2 }.to_string(), "7 passed, 1 failed, 2 skipped");
    }
}
