//! The counts behind a picture of scopes, as CSV and JSON.

use std::fmt::Write as _;
use std::path::Path;
use std::sync::Arc;

use gpu::assemble::Trace;
use measure::scopes::{Axis, Cell, Region, Span};
use serde::Serialize;

use super::count::Counted;
use super::{Kind, Tapped};
use crate::cli::failure::Failure;
use crate::cli::say;
use session::tones::Tones;

/// A channel's cell that holds something; or, in words, what lies in none.
#[derive(Serialize)]
struct Row {
    channel: &'static str,
    across: String,
    up: String,
    pixels: u32,
}

#[derive(Serialize)]
struct AxisData {
    name: String,
    bins: u32,
    ticks: Vec<String>,
}

#[derive(Serialize)]
struct ScopeData {
    scope: &'static str,
    across: Option<AxisData>,
    up: AxisData,
    /// Columns of a waveform.
    columns: u32,
    /// Pixels of each channel, wherever they were counted.
    total: u64,
    rows: Vec<Row>,
}

/// What `--json` writes.
#[derive(Serialize)]
pub struct Answer {
    file: String,
    frame: i64,
    at: String,
    signal: String,
    rendering: String,
    /// Left, top, width, height.
    region: [u32; 4],
    replaced: u64,
    /// What the whole chain leaves of the original's tones; none for floats and where the chain does not end on a display.
    tones: Option<Tones>,
    scopes: Vec<ScopeData>,
}

/// All counts of a tap.
pub fn answer(tapped: &Tapped, region: Region, counted: &[(Kind, Arc<Counted>)]) -> Answer {
    Answer {
        file: tapped.file.clone(),
        frame: tapped.number,
        at: tapped.place.clone(),
        signal: tapped.tap.signal().to_string(),
        rendering: tapped.rendering.clone(),
        region: [region.x(), region.y(), region.width(), region.height()],
        replaced: tapped.replaced,
        tones: tapped.tones.clone(),
        scopes: counted.iter().map(|(kind, counted)| scope_data(*kind, counted)).collect(),
    }
}

fn scope_data(kind: Kind, counted: &Counted) -> ScopeData {
    let (across, up) = counted.axes();
    ScopeData {
        scope: kind.name(),
        across: across.map(axis_data),
        up: axis_data(up),
        columns: counted.counts.shape().columns,
        total: counted.counts.total(0),
        rows: rows(counted),
    }
}

fn axis_data(axis: &Axis) -> AxisData {
    let ticks = axis.ticks.iter().map(|tick| tick.label.clone()).collect();
    AxisData { name: axis.name.clone(), bins: axis.bins(), ticks }
}

/// Writes every scope's rows.
///
/// # Errors
/// A file that cannot be written.
pub fn write_csv(path: &Path, counted: &[(Kind, Arc<Counted>)]) -> Result<(), Failure> {
    let mut text = "scope,channel,across,up,pixels\n".to_string();
    for (kind, counted) in counted {
        for row in rows(counted) {
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{},{},{},{},{}", kind.name(), row.channel, row.across, row.up, row.pixels);
        }
    }
    Ok(media::store(path, &media::Encoded::of(text.into_bytes()))?)
}

fn rows(counted: &Counted) -> Vec<Row> {
    let counts = &counted.counts;
    let shape = counts.shape();
    let (across, up) = counted.axes();
    let channels = channels(&counted.trace);
    // Levels of signal are said in percent, coordinates and differences as they are.
    let is_levels = matches!(counted.trace, Trace::Waveform(_) | Trace::Histogram(_));
    let unit = if is_levels { 100.0 } else { 1.0 };
    let mut rows = Vec::new();
    for (plane, channel) in (0..shape.planes).zip(channels) {
        for row in 0..shape.rows {
            for column in 0..shape.columns {
                let pixels = counts.cells().get(shape.index(plane, Cell { column, row })).copied().unwrap_or(0);
                if pixels > 0 {
                    let across = across.map_or_else(|| column.to_string(), |axis| value_in(axis, column, unit));
                    rows.push(Row { channel, across, up: value_in(up, row, unit), pixels });
                }
            }
        }
        for (words, pixels) in [("not a number", counts.not_a_number(plane)), ("too dark", counts.dark(plane))] {
            if pixels > 0 {
                rows.push(Row { channel, across: words.to_string(), up: words.to_string(), pixels });
            }
        }
    }
    rows
}

fn channels(trace: &Trace) -> &'static [&'static str] {
    use measure::scopes::WaveformOf;
    match trace {
        Trace::Waveform(scope) if scope.of() == WaveformOf::Channels => &["red", "green", "blue"],
        Trace::Waveform(_) => &["luma"],
        Trace::Histogram(_) => &["red", "green", "blue"],
        Trace::Vectorscope(_) | Trace::Chromaticity(_) => &["all"],
    }
}

/// The middle of a slot in the figures of its axis.
fn value_in(axis: &Axis, slot: u32, unit: f64) -> String {
    let Some(bin) = slot.checked_sub(1) else { return "below".to_string() };
    if bin >= axis.bins() {
        return "above".to_string();
    }
    let share = f64::from(bin) / f64::from(axis.bins() - 1);
    let value = match axis.span() {
        Span::Codes { first, count, .. } => {
            f64::from(first) + (f64::from(bin) + 0.5) * f64::from(count) / f64::from(axis.bins()) - 0.5
        }
        Span::Even { first, last } => unit * (first + share * (last - first)),
        Span::Stops { first, last } => first + share * (last - first),
    };
    say::significant(value, 6)
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::CodeRange;

    #[test]
    fn a_slot_is_named_by_what_stands_along_its_axis() {
        let codes = Axis::codes(10, CodeRange::Legal, 1024);
        for (slot, want) in [(0, "below"), (1, "0"), (941, "940"), (1025, "above")] {
            assert_eq!(value_in(&codes, slot, 100.0), want);
        }
        assert_eq!(value_in(&Axis::codes(12, CodeRange::Full, 1024), 1, 100.0), "1.5");
        assert_eq!(value_in(&Axis::stops(-10.0, 8.0, 181), 101, 100.0), "0");
        assert_eq!(value_in(&Axis::signal(-0.1, 1.1, 121), 111, 100.0), "100");
        assert_eq!(value_in(&Axis::difference("Cb", 121), 121, 1.0), "0.6");
    }
}
