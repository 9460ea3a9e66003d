//! The figures behind the picture: CSV, JSON, and a table of the wedge.

use std::fmt::Write as _;
use std::path::Path;

use measure::response::{Grey, Hue, stops_of};
use serde::Serialize;

use super::measured::{Measured, Unit, ten_bit_codes};
use crate::cli::failure::Failure;
use crate::cli::say;

/// A grey or a hue that was sent through.
#[derive(Serialize, Default)]
struct Row {
    pattern: String,
    level: String,
    /// The signal that left: percent, or linear light of a scene as it is.
    out: [f64; 3],
    /// Red and blue light over green, in stops.
    #[serde(skip_serializing_if = "Option::is_none")]
    gap: Option<[Option<f64>; 2]>,
    /// Stops a stop.
    #[serde(skip_serializing_if = "Option::is_none")]
    slope: Option<[Option<f64>; 3]>,
    /// u'v' of what entered.
    #[serde(skip_serializing_if = "Option::is_none")]
    from: Option<[f64; 2]>,
    /// u'v' of what left.
    #[serde(skip_serializing_if = "Option::is_none")]
    to: Option<[f64; 2]>,
}

#[derive(Serialize)]
struct One {
    name: String,
    original: String,
    result: String,
    rendering: String,
    /// What the rows' stops are counted from.
    stops_from: &'static str,
    /// What `out` is: percent, or light.
    out_in: &'static str,
    rows: Vec<Row>,
}

/// What `--json` writes.
#[derive(Serialize)]
pub struct Answer {
    candidates: Vec<One>,
    /// Where two candidates differ most.
    #[serde(skip_serializing_if = "Option::is_none")]
    largest_difference: Option<Difference>,
}

/// The largest difference between two candidates on the wedge.
#[derive(Serialize)]
struct Difference {
    stops: f64,
    channel: &'static str,
    /// Ten-bit codes of the second less the first, or stops where the results are light of a scene.
    size: f64,
    unit: &'static str,
}

/// All figures.
pub fn answer(measured: &[Measured]) -> Answer {
    let candidates = measured.iter().map(|one| One {
        name: one.name.clone(),
        original: one.original.signal().to_string(),
        result: one.result.signal().to_string(),
        rendering: one.rendering.clone(),
        stops_from: stops_of(&one.original).1,
        out_in: match one.unit() {
            Unit::Percent => "percent",
            Unit::Stops => "light",
        },
        rows: rows(one),
    });
    Answer { candidates: candidates.collect(), largest_difference: largest_difference(measured) }
}

fn rows(one: &Measured) -> Vec<Row> {
    let unit = match one.unit() {
        Unit::Percent => 100.0,
        Unit::Stops => 1.0,
    };
    let of_grey = |pattern: &str, level: f64, grey: &Grey| Row {
        pattern: pattern.to_string(),
        level: say::significant(level, 6),
        out: grey.out.map(|v| unit * v),
        gap: Some(grey.gap_in_stops()),
        ..Row::default()
    };
    let of_hue = |pattern: String, level: String, hue: &Hue| Row {
        pattern,
        level,
        out: hue.out.map(|v| unit * v),
        from: hue.from,
        to: hue.to,
        ..Row::default()
    };
    let stops = one
        .stops
        .iter()
        .zip(&one.slopes)
        .map(|(grey, slope)| Row { slope: Some(*slope), ..of_grey("ramp-stops", grey.level, grey) });
    let wedge = one.wedge.iter().map(|grey| of_grey("wedge", grey.level, grey));
    let signal = one.signal.iter().map(|grey| of_grey("ramp", 100.0 * grey.level, grey));
    let sweep = one.sweep.iter().flat_map(|(saturation, hues)| {
        let last = hues.len().saturating_sub(1).max(1) as f64;
        hues.iter().enumerate().map(move |(at, hue)| {
            of_hue("hue-sweep".to_string(), format!("{saturation} {}", say::significant(at as f64 / last, 6)), hue)
        })
    });
    let bars = one.bars.iter().flat_map(|(level, bars)| {
        bars.iter().map(move |(name, hue)| of_hue(format!("bars{level}"), (*name).to_string(), hue))
    });
    stops.chain(wedge).chain(signal).chain(sweep).chain(bars).collect()
}

/// Writes every row.
///
/// # Errors
/// A file that cannot be written.
pub fn write_csv(path: &Path, measured: &[Measured]) -> Result<(), Failure> {
    let mut text = "candidate,pattern,level,red,green,blue,gap_red,gap_blue,slope_red,slope_green,slope_blue,\
                    from_u,from_v,to_u,to_v\n"
        .to_string();
    for (number, one) in (1..).zip(measured) {
        for row in rows(one) {
            let known = row.out.map(Some);
            let (gap, slope) = (row.gap.unwrap_or_default(), row.slope.unwrap_or_default());
            let (from, to) =
                (row.from.map_or([None; 2], |uv| uv.map(Some)), row.to.map_or([None; 2], |uv| uv.map(Some)));
            let all = known.iter().chain(&gap).chain(&slope).chain(&from).chain(&to);
            let figures: Vec<_> =
                all.map(|value| value.map_or_else(String::new, |value| say::significant(value, 9))).collect();
            // Writing to a string cannot fail.
            let _ = writeln!(text, "{number},{},{},{}", row.pattern, row.level, figures.join(","));
        }
    }
    Ok(media::store(path, &media::Encoded::of(text.into_bytes()))?)
}

/// The wedge in words and figures.
pub fn table(measured: &[Measured]) -> String {
    let mut text = String::new();
    for (number, one) in (1..).zip(measured) {
        let head = if measured.len() > 1 { format!("{number}: {}", one.name) } else { one.name.clone() };
        let (what, gap) = match one.unit() {
            Unit::Percent => ("% of signal", "10-bit codes"),
            Unit::Stops => ("stops from mid grey", "stops"),
        };
        text += &format!(
            "{head}\n  {} to {}\n  rendering: {}\n  stops from {}; red, green, blue in {what}; gap to green in {gap}\n",
            one.original.signal(),
            one.result.signal(),
            one.rendering,
            stops_of(&one.original).1
        );
        // Writing to a string cannot fail.
        let _ = writeln!(text, "  {:>6} {:>8} {:>8} {:>8} {:>8} {:>8}", "stops", "red", "green", "blue", "red", "blue");
        for grey in &one.wedge {
            let _ = write!(text, "  {:>+6.2}", grey.level);
            for out in grey.out {
                let _ =
                    write!(text, " {:>8}", one.value(out).map_or_else(|| "none".to_string(), |v| format!("{v:.2}")));
            }
            for gap in gaps(one, grey) {
                let _ = write!(text, " {:>8}", gap.map_or_else(|| "none".to_string(), signed));
            }
            text += "\n";
        }
    }
    if let Some(Difference { stops, channel, size, unit }) = largest_difference(measured) {
        text += &format!(
            "largest difference of 2 from 1 as shown: {} {unit} of {channel}, at {stops:+.2} stops\n",
            signed(size)
        );
    }
    text
}

/// With a sign, but for nothing.
fn signed(value: f64) -> String {
    let text = format!("{value:+.2}");
    if matches!(&text[..], "-0.00" | "+0.00") { "0.00".to_string() } else { text }
}

/// The gap of red and of blue to green in the unit that is shown.
fn gaps(one: &Measured, grey: &Grey) -> [Option<f64>; 2] {
    match one.unit() {
        Unit::Percent => grey.gap().map(|gap| Some(ten_bit_codes(gap))),
        Unit::Stops => grey.gap_in_stops(),
    }
}

fn largest_difference(measured: &[Measured]) -> Option<Difference> {
    let [first, second] = measured else { return None };
    let differences = first.wedge.iter().zip(&second.wedge).flat_map(|(a, b)| {
        [0, 1, 2].map(|channel| {
            let (size, unit) = match first.unit() {
                Unit::Percent => {
                    (ten_bit_codes(second.shown(b.out[channel]) - first.shown(a.out[channel])), "10-bit codes")
                }
                Unit::Stops => (second.value(b.out[channel])? - first.value(a.out[channel])?, "stops"),
            };
            let channel = ["red", "green", "blue"].get(channel).copied()?;
            Some(Difference { stops: a.level, channel, size, unit })
        })
    });
    differences.flatten().reduce(|most, one| if one.size.abs() > most.size.abs() { one } else { most })
}
