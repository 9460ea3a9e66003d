//! Encoding files: a camera that is not built in, as a page of TOML (an example lies in the tests' data).

use super::{Encoding, EncodingError, Reference};
use crate::transfer::{LogCurve, LogSegments, TableCurve, Transfer};
use crate::{Adaptation, Primaries, Xy, names};
use serde::Deserialize;
use std::sync::Arc;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct EncodingFile {
    name: String,
    primaries: PrimariesField,
    adaptation: Option<String>,
    reference: Option<String>,
    log: Option<LogFields>,
    table: Option<TableFields>,
}

/// Either the name of primaries or their chromaticities.
#[derive(Deserialize)]
#[serde(untagged, expecting = "a name of primaries, or { red = [x, y], green = .., blue = .., white = .. }")]
enum PrimariesField {
    Named(String),
    Given(Chromaticities),
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Chromaticities {
    red: [f64; 2],
    green: [f64; 2],
    blue: [f64; 2],
    white: [f64; 2],
}

/// The parameters of a camera curve as CLF names them (Academy S-2014-006, LogParams, `cameraLinToLog`).
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct LogFields {
    #[serde(default = "two")]
    base: f64,
    #[serde(default = "one")]
    log_side_slope: f64,
    #[serde(default)]
    log_side_offset: f64,
    #[serde(default = "one")]
    lin_side_slope: f64,
    #[serde(default)]
    lin_side_offset: f64,
    lin_side_break: f64,
    linear_slope: Option<f64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct TableFields {
    codes: Vec<f64>,
    linear: Vec<f64>,
}

fn one() -> f64 {
    1.0
}

fn two() -> f64 {
    2.0
}

pub(super) fn parse(text: &str, file: &str) -> Result<Encoding, EncodingError> {
    let fields: EncodingFile = toml::from_str(text)
        .map_err(|e| EncodingError::File { file: file.to_owned(), problem: e.to_string().trim_end().to_owned() })?;
    let wrong =
        |field: &str, problem: String| EncodingError::Field { file: file.to_owned(), field: field.to_owned(), problem };
    if names::plain(&fields.name).is_empty() {
        return Err(wrong("name", "is empty; give the encoding a name".to_owned()));
    }
    let transfer = match (&fields.log, fields.table) {
        (Some(log), None) => log_transfer(log).map_err(|(field, problem)| wrong(field, problem))?,
        (None, Some(table)) => TableCurve::new(table.codes, table.linear)
            .map(|t| Transfer::Table(Arc::new(t)))
            .map_err(|e| wrong("table", e.to_string()))?,
        _ => {
            return Err(wrong("log", "give either a [log] or a [table] section, and only one".to_owned()));
        }
    };
    Ok(Encoding {
        primaries: primaries(fields.primaries).map_err(|p| wrong("primaries", p))?,
        transfer,
        reference: reference(fields.reference.as_deref()).map_err(|p| wrong("reference", p))?,
        adaptation: adaptation(fields.adaptation.as_deref()).map_err(|p| wrong("adaptation", p))?,
        exposure_index: None,
        name: fields.name,
    })
}

fn primaries(field: PrimariesField) -> Result<Primaries, String> {
    match field {
        PrimariesField::Named(name) => Primaries::named(&name).ok_or_else(|| {
            let near = names::near(&name, Primaries::names().iter().copied());
            format!("unknown primaries '{name}'; near names: {near}; or give red, green, blue and white as [x, y]")
        }),
        PrimariesField::Given(c) => {
            let xy = |v: [f64; 2]| Xy::new(v[0], v[1]);
            Primaries::new("own", xy(c.red), xy(c.green), xy(c.blue), xy(c.white)).map_err(|e| e.to_string())
        }
    }
}

fn reference(field: Option<&str>) -> Result<Reference, String> {
    match field {
        None | Some("scene") => Ok(Reference::Scene),
        Some("display") => Ok(Reference::Display),
        Some(other) => Err(format!("'{other}' is neither \"scene\" nor \"display\"")),
    }
}

fn adaptation(field: Option<&str>) -> Result<Adaptation, String> {
    let Some(name) = field else {
        return Ok(Adaptation::Cat02);
    };
    Adaptation::parse(name).ok_or_else(|| {
        let known = Adaptation::ALL.map(Adaptation::name).join(", ");
        format!("unknown adaptation '{name}'; give one of {known}")
    })
}

/// The curve of the CLF parameters: logarithmic above the break, straight up to it and continuous there.
///
/// # Source
/// Academy S-2014-006 (CLF 3.0), Log node.
fn log_transfer(log: &LogFields) -> Result<Transfer, (&'static str, String)> {
    if !(log.base > 0.0 && log.base != 1.0) {
        return Err(("log.base", format!("is {}; give a base above 0 that is not 1", log.base)));
    }
    let at_break = log.lin_side_slope * log.lin_side_break + log.lin_side_offset;
    if at_break.is_nan() || at_break <= 0.0 {
        let problem = format!("the logarithm's argument is {at_break} at the break; raise it until that is above 0");
        return Err(("log.lin_side_break", problem));
    }
    let derivative = log.log_side_slope * log.lin_side_slope / (at_break * log.base.ln());
    let e = log.linear_slope.unwrap_or(derivative);
    let code_break = log.log_side_slope * at_break.ln() / log.base.ln() + log.log_side_offset;
    let segments = LogSegments {
        base: log.base,
        a: log.lin_side_slope,
        b: log.lin_side_offset,
        c: log.log_side_slope,
        d: log.log_side_offset,
        e,
        f: code_break - e * log.lin_side_break,
    };
    // CLF gives the break itself to the straight part.
    let curve = LogCurve::new(segments, log.lin_side_break.next_up(), code_break.next_up());
    if !curve.is_sound() {
        let problem = "the curve does not rise: log_side_slope, lin_side_slope and linear_slope must be above 0, \
                       base above 1, and every number finite";
        return Err(("log", problem.to_owned()));
    }
    Ok(Transfer::Log(curve))
}
