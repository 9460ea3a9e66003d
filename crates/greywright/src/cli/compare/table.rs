//! The table on the terminal: a line a figure, a column a candidate.

use std::fmt::Write as _;

use measure::verdict::distance::Divisors;
use session::verdict::Comparison;
use session::verdict::evidence::shadow_in_words;
use session::verdict::lines::{Line, lines};

use crate::cli::confidence;

/// Candidates beside each other; more go below.
const ACROSS: usize = 5;

/// All of it.
pub fn text(comparison: &Comparison) -> String {
    let mut text = format!("{}\n", comparison.what);
    for words in head(comparison) {
        text += &format!("{words}\n");
    }
    let lines = lines(comparison);
    let names: Vec<&str> = comparison.rows().map(|row| row.name.as_str()).collect();
    let firsts: Vec<usize> = (0..names.len()).step_by(ACROSS).collect();
    for first in firsts {
        let last = (first + ACROSS).min(names.len());
        text += "\n";
        text += &block(&names, &lines, first..last);
    }
    text += "\n";
    for row in comparison.rows() {
        let _ = writeln!(text, "{}: {}", row.name, row.order);
    }
    text
}

/// What is known, a sentence a line.
pub fn head(comparison: &Comparison) -> Vec<String> {
    let evidence = &comparison.evidence;
    let mut head = vec![format!("grey: {}", evidence.grey_in_words)];
    if let Some(sure) = &evidence.confidence {
        head.push(format!("confidence of the card: {}, one sigma", confidence::in_words(sure)));
    }
    if evidence.grey.is_some() {
        let [low, high] = evidence.occupied;
        head.push(format!(
            "the shot has tones from {low:+.1} to {high:+.1} stops from the card; figures on grey are of these"
        ));
    }
    let region = comparison.region;
    head.push(format!(
        "measured: {},{},{},{} (left, top, width, height)",
        region.x(),
        region.y(),
        region.width(),
        region.height()
    ));
    head.push(shadow_in_words(evidence));
    let tones = comparison.rows().find_map(|row| row.tones.as_ref());
    if let Some((tones, codes)) = tones.and_then(|tones| Some((tones, tones.codes_a_stop?))) {
        head.push(format!("the original has {codes} codes of {} bits in the stop above mid grey", tones.bits));
    }
    if let Some(yardstick) = comparison.yardstick() {
        head.push(format!("hues and pictures are held against {}: {}", yardstick.name, yardstick.order));
    }
    if let Some(anchor) = &comparison.anchor {
        let Divisors { stops, mired, duv, black } = anchor.divisors;
        head.push(format!(
            "anchor: {}; distances in units of {stops} stops, {mired} mired, {duv} Duv, {black} codes of black",
            anchor.words
        ));
    }
    let renderings: Vec<&str> = comparison.rows().map(|row| row.rendering.as_str()).collect();
    match renderings.split_first() {
        Some((first, rest)) if rest.iter().all(|other| other == first) => head.push(format!("rendering: {first}")),
        _ => head.extend(comparison.rows().map(|row| format!("rendering of {}: {}", row.name, row.rendering))),
    }
    head.push(format!("pictures by {}, figures on grey by the proof", comparison.executor));
    head
}

fn block(names: &[&str], lines: &[Line], columns: std::ops::Range<usize>) -> String {
    let title = |line: &Line| format!("{} ({})", line.title, line.unit);
    let left = lines.iter().map(|line| title(line).chars().count()).max().unwrap_or(0);
    let cell = |line: &Line, at: usize| {
        let cell = line.cells.get(at);
        match cell {
            Some(cell) if cell.same => "same".to_string(),
            Some(cell) => cell.text.clone(),
            None => String::new(),
        }
    };
    let widths: Vec<usize> = columns
        .clone()
        .map(|at| {
            let name = names.get(at).map_or(0, |name| name.chars().count());
            lines.iter().map(|line| cell(line, at).chars().count()).max().unwrap_or(0).max(name)
        })
        .collect();
    let mut text = String::new();
    let mut write = |first: &str, cells: Vec<String>| {
        let _ = write!(text, "{first:left$}");
        for (cell, width) in cells.iter().zip(&widths) {
            let _ = write!(text, "  {cell:>width$}");
        }
        text.truncate(text.trim_end().len());
        text.push('\n');
    };
    write("", columns.clone().map(|at| names.get(at).copied().unwrap_or_default().to_string()).collect());
    for line in lines {
        write(&title(line), columns.clone().map(|at| cell(line, at)).collect());
    }
    text
}
