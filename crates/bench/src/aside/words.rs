//! Verdict figures in words: five for the line under a tile, all of them for the table.

use measure::verdict::distance::{Distance, Divisors};
use session::verdict::evidence::shadow_in_words;
use session::verdict::figures::same;
use session::verdict::lines::lines;
use session::verdict::{Comparison, Measured};
use session::written::signed;

use crate::state::{Figure, Row};

/// Grey drift, black drift, hues kept, the clipped share, and the distance to what there is: the anchor, else the truth.
pub fn of_tile(row: &Measured, comparison: &Comparison, is_anchor: bool) -> Vec<Figure> {
    let same = same(row, comparison);
    let figure = |title: &str, text: Option<String>, same: bool| {
        let same = same && text.is_some();
        Figure { title: title.to_string(), text: text.unwrap_or_else(|| "not known".to_string()), same }
    };
    let black = |[r, g, b]: [f64; 3]| format!("{} {} {} codes", whole(r), whole(g), whole(b));
    let kept = row.hues.as_ref().zip(comparison.yardstick().and_then(|yardstick| yardstick.hues.as_ref()));
    vec![
        figure("grey drift", grey_drift(row, comparison), same.grey_drift),
        figure("black drift", row.black.map(black), same.black_drift),
        figure("hues kept", kept.map(|(own, all)| format!("{:.1} %", 100.0 * own.kept_of(all))), same.hues_kept),
        figure("clipped", row.shares.map(|of| format!("{:.1} %", 100.0 * of.clipped)), same.clipped),
        match (&comparison.anchor, row.distance, row.patches.or(row.picture)) {
            (Some(_), Some(of), _) => figure("from the anchor", Some(from_anchor(&of)), same.distance),
            (_, _, Some(of)) => {
                let same = if row.patches.is_some() { same.patches } else { same.picture };
                figure("to the truth", Some(format!("{:.1} \u{2206}E", of.mean)), same)
            }
            _ => {
                let words = match (is_anchor, &comparison.anchor) {
                    (true, _) => "is the anchor",
                    (_, Some(_)) => "cannot be told",
                    (_, None) => "no anchor",
                };
                figure("from the anchor", Some(words.to_string()), false)
            }
        },
    ]
}

fn grey_drift(row: &Measured, comparison: &Comparison) -> Option<String> {
    if comparison.evidence.grey.is_none() {
        return Some("no grey known".to_string());
    }
    let drift = row.drift.as_ref()?;
    let Some((point, delta_e)) = drift.worst.and_then(|point| Some((point, point.delta_e?))) else {
        return Some("no such tones".to_string());
    };
    let metric = if drift.itp { "\u{2206}E ITP" } else { "\u{2206}E" };
    Some(format!("{delta_e:.2} {metric} at {:+.1} stops", point.stops))
}

/// The one number where all of it is known, with what is largest in it; else what is known of the light.
fn from_anchor(of: &Distance) -> String {
    let white = of.white.map(|white| format!(", {} mired", signed(white.mired, 1))).unwrap_or_default();
    let size = of.size(&Divisors::default()).map(|size| format!("{size:.1}: ")).unwrap_or_default();
    format!("{size}{} stops{white}", signed(of.stops, 2))
}

/// Codes with their sign; zero has none.
fn whole(codes: f64) -> String {
    if codes.abs() < 0.5 { "0".to_string() } else { format!("{codes:+.0}") }
}

/// What was looked at and how it is known.
pub fn head(comparison: &Comparison, notes: &[String]) -> Vec<String> {
    let evidence = &comparison.evidence;
    let mut head = vec![comparison.what.clone(), format!("grey: {}", evidence.grey_in_words)];
    if let Some(yardstick) = comparison.yardstick() {
        head.push(format!("hues and pictures are held against {}: {}", yardstick.name, yardstick.order));
    }
    if let Some(baseline) = &comparison.baseline {
        head.push(format!("baseline: {}", baseline.order));
    }
    head.extend(comparison.anchor.as_ref().map(|anchor| format!("anchor: {}", anchor.words)));
    head.push(shadow_in_words(evidence));
    head.extend(notes.iter().cloned());
    head.push(format!("pictures by {}, figures on grey by the proof", comparison.executor));
    head
}

/// The columns with what each is, and the figures in the order in which `compare` prints them.
pub fn table(comparison: &Comparison) -> (Vec<(String, String)>, Vec<Row>) {
    let columns = comparison.rows().map(|row| (row.name.clone(), row.order.clone())).collect();
    let rows = lines(comparison).into_iter().map(|line| Row {
        cells: line
            .cells
            .into_iter()
            .map(|cell| Figure { title: String::new(), text: cell.text, same: cell.same })
            .collect(),
        title: line.title,
        unit: line.unit,
    });
    (columns, rows.collect())
}
