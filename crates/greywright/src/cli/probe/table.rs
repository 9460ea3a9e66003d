//! Readings as a table for people: an area after the other, its places beside each other.

use std::fmt::Write as _;

use super::reader::{OfArea, OfFrame};
use super::record::Record;
use crate::cli::say;

/// A line of the table: what it is, and what stands there.
type Line = (String, fn(&Record) -> Option<String>);

/// The readings of a frame.
pub fn text(frame: &OfFrame, target: &str) -> String {
    let [x, y, width, height] = frame.measuring_region;
    let mut text = format!("{}, frame {}, measured within {x},{y},{width},{height}\n", frame.file, frame.frame);
    frame.areas.iter().for_each(|area| of_area(&mut text, area, target));
    if let Some(last) = frame.areas.iter().flat_map(|area| area.readings.last()).next_back() {
        // Writing to a string cannot fail.
        let _ = writeln!(text, "\nrendering: {}", last.rendering);
    }
    text
}

fn of_area(text: &mut String, area: &OfArea, target: &str) {
    let [x, y, width, height] = area.pixels.unwrap_or_default();
    let _ = writeln!(text, "\n{} ({x},{y},{width},{height})", area.name);
    let lines: [Line; 16] = [
        (String::new(), |of| Some(of.at.clone())),
        ("signal is".into(), |of| Some(of.signal.clone())),
        ("pixels".into(), pixels),
        ("code".into(), code),
        ("  sd".into(), |of| of.code.as_ref().filter(|_| of.pixels > 1).map(|code| three(code.sd, 1))),
        ("% of signal".into(), percent),
        ("linear light".into(), |of| of.light.as_ref().map(|light| significant(light.mean))),
        ("stops from mid grey".into(), |of| of.stops.map(|stops| say::signed(stops, 2))),
        ("nits".into(), |of| of.nits.map(figures)),
        ("x, y".into(), |of| of.xy.map(|[x, y]| format!("{x:.4} {y:.4}"))),
        ("u', v'".into(), |of| of.uv.map(|[u, v]| format!("{u:.4} {v:.4}"))),
        ("colour temperature".into(), temperature),
        (format!("white from {target}"), white),
        ("L*, a*, b*".into(), |of| of.lab.map(|lab| three(lab, 2))),
        ("from its neutral".into(), differences),
        ("hue".into(), |of| of.hue.as_ref().map(|hue| format!("{:.1} deg, {:.1} %", hue.degrees, 100.0 * hue.chroma))),
    ];
    let first = lines.iter().map(|(name, _)| name.chars().count()).max().unwrap_or_default();
    let columns: Vec<Vec<String>> = area
        .readings
        .iter()
        .map(|record| lines.iter().map(|(_, line)| line(record).unwrap_or_else(|| "-".to_string())).collect())
        .collect();
    let widths: Vec<usize> =
        columns.iter().map(|column| column.iter().map(|cell| cell.chars().count()).max().unwrap_or_default()).collect();
    for (at, (name, _)) in lines.iter().enumerate() {
        let cells: Vec<&str> = columns.iter().filter_map(|column| column.get(at)).map(String::as_str).collect();
        // What no place has is no line.
        if cells.iter().all(|cell| *cell == "-") {
            continue;
        }
        let mut line = format!("  {name:first$}");
        cells.iter().zip(&widths).for_each(|(cell, width)| {
            let _ = write!(line, "  {cell:width$}");
        });
        let _ = writeln!(text, "{}", line.trim_end());
    }
    let mut whites: Vec<String> = Vec::new();
    for why in area.readings.iter().filter_map(|of| of.no_white) {
        let places: Vec<_> =
            area.readings.iter().filter(|of| of.no_white == Some(why)).map(|of| of.at.as_str()).collect();
        let said = format!("{}: {why}", places.join(", "));
        if !whites.contains(&said) {
            whites.push(said);
        }
    }
    for sure in area.readings.iter().filter_map(|of| of.confidence.as_ref()) {
        let _ = writeln!(text, "  as a grey card: {}, one sigma", sure.words());
    }
    if !whites.is_empty() {
        let _ = writeln!(text, "  no white: {}", whites.join("; "));
    }
}

fn pixels(of: &Record) -> Option<String> {
    let mut text = of.pixels.to_string();
    if of.left_out > 0 {
        let _ = write!(text, ", {} left out", of.left_out);
    }
    if of.not_finite > 0 {
        let _ = write!(text, ", {} not a number", of.not_finite);
    }
    Some(text)
}

/// Of code; linear light is said as such.
fn percent(of: &Record) -> Option<String> {
    let is_light = of.light.as_ref().is_some_and(|light| light.mean == of.value.mean);
    (!is_light).then(|| three(of.value.mean.map(|v| 100.0 * v), 2))
}

fn code(of: &Record) -> Option<String> {
    let (code, bits, range) = (of.code.as_ref()?, of.bits?, of.range.as_ref()?);
    Some(format!("{} ({bits} bit {range})", three(code.mean, 1)))
}

fn temperature(of: &Record) -> Option<String> {
    let of = of.temperature.as_ref()?;
    Some(format!("{:.0} K, Duv {}, {}", of.kelvin, say::signed(of.duv, 4), of.of))
}

fn white(of: &Record) -> Option<String> {
    let white = of.white.as_ref()?;
    let (mired, duv) = (say::signed(white.mired, 1), say::signed(white.duv, 4));
    let words = |text: &str, up: &'static str, down: &'static str| match text {
        text if text.trim_start_matches(['+', '-']).chars().all(|c| matches!(c, '0' | '.')) => "",
        text if text.starts_with('-') => down,
        _ => up,
    };
    let said = [words(&mired, "warmer", "bluer"), words(&duv, "greener", "pinker")];
    let said: Vec<_> = said.into_iter().filter(|word| !word.is_empty()).collect();
    let said = if said.is_empty() { "neutral".to_string() } else { said.join(", ") };
    Some(format!("{mired} mired, {duv} Duv: {said}"))
}

fn differences(of: &Record) -> Option<String> {
    let itp = of.delta_e_itp.map(|itp| format!(", Delta E ITP {itp:.2}")).unwrap_or_default();
    Some(format!("Delta E 2000 {:.2}{itp}", of.delta_e_2000?))
}

fn three(values: [f64; 3], decimals: i32) -> String {
    values.map(|v| format!("{:.*}", decimals.unsigned_abs() as usize, say::rounded(v, decimals))).join(" ")
}

fn significant(values: [f64; 3]) -> String {
    values.map(figures).join(" ")
}

/// Four figures; what is no light to speak of is none.
fn figures(value: f64) -> String {
    if value.abs() < 1e-9 { "0".to_string() } else { say::significant(value, 4) }
}
