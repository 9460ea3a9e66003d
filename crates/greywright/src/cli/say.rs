//! Messages and progress on standard error, results on standard output.

use std::fmt::Write as _;
use std::io::Write as _;

use indicatif::{ProgressBar, ProgressDrawTarget, ProgressStyle};

pub use session::written::{rounded, signed, significant};

use super::failure::Failure;

/// Says what went wrong.
pub fn error(message: &str) {
    eprintln!("greywright: {message}");
}

/// Says something the user should know.
pub fn note(message: &str) {
    eprintln!("greywright: {message}");
}

/// Writes a result. A reader that has gone away ends the work quietly.
pub fn result(text: &str) -> Result<(), Failure> {
    let mut out = std::io::stdout().lock();
    match out.write_all(text.as_bytes()).and_then(|()| out.flush()) {
        Err(error) if error.kind() == std::io::ErrorKind::BrokenPipe => Err(Failure::said()),
        other => other.map_err(|error| Failure::work(format!("standard output: {error}"))),
    }
}

/// Writes a result as JSON.
pub fn json(value: &impl serde::Serialize) -> Result<(), Failure> {
    result(&(serde_json::to_string_pretty(value)? + "\n"))
}

/// A path as people write it: without the `./` that names of the current folder get.
pub fn path(path: &std::path::Path) -> String {
    session::paths::shown(path)
}

/// So many of something that takes an s for more than one.
pub fn count(number: usize, what: &str) -> String {
    if number == 1 { format!("1 {what}") } else { format!("{number} {what}s") }
}

/// Rows of cells, each column as wide as its widest cell.
pub fn columns(rows: &[Vec<String>]) -> String {
    let mut text = String::new();
    let count = rows.iter().map(Vec::len).max().unwrap_or(0);
    let width =
        |at: usize| rows.iter().filter_map(|row| row.get(at)).map(|cell| cell.chars().count()).max().unwrap_or(0);
    let widths: Vec<_> = (0..count).map(width).collect();
    for row in rows {
        let cells = row.iter().zip(&widths).map(|(cell, &width)| format!("{cell:width$}"));
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {}", cells.collect::<Vec<_>>().join("  ").trim_end());
    }
    text
}

/// A progress bar on a terminal; nothing elsewhere.
pub fn progress(total: usize, what: &str) -> ProgressBar {
    let bar = ProgressBar::with_draw_target(Some(total as u64), ProgressDrawTarget::stderr());
    let style = ProgressStyle::with_template("{msg}  {bar:32} {pos}/{len}  {per_sec}  {eta} left  {prefix}");
    if let Ok(style) = style {
        bar.set_style(style.progress_chars("=> "));
    }
    bar.set_message(what.to_string());
    bar
}
