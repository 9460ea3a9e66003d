//! A monitor's profile: a small TOML file that says what a screen makes of its code.
//!
//! ```toml
//! name = "left of the desk"
//! primaries = "P3-D65"    # or { red = [x, y], green = [x, y], blue = [x, y], white = [x, y] }
//! white = "kept"          # another white is shown as it is, or "own": adapted to the monitor's
//! eotf = "gamma 2.4"      # BT.1886, sRGB, gamma N or PQ
//! peak_nits = 120
//! black_nits = 0.03
//! lut = "desk.cube"       # from this file's folder; the code goes through it last; may be left out
//! ```
//!
//! It belongs to a desk and not to a project: no project names one.

use std::fs;
use std::path::Path;

use colour::{Primaries, Xy, names};
use graph::Monitor;
use graph::monitor::{Eotf, MonitorWhite};
use toml::de::DeTable;

use crate::Fault;
use crate::chain::add_lut;
use crate::file::FileError;
use crate::file::fault::Source;
use crate::file::section::{Found, Section};

/// Exponents of a screen: beyond them lies a slip of the pen.
const GAMMA: std::ops::RangeInclusive<f64> = 1.0..=4.0;

/// The brightest peak in nits: the end of PQ.
const PEAK_NITS: std::ops::RangeInclusive<f64> = 1.0..=10_000.0;

/// What a profile says.
#[derive(Debug, Clone, PartialEq)]
pub struct Profile {
    /// The monitor, without its LUT.
    pub monitor: Monitor,
    /// The LUT's file as it is written, from the profile's folder.
    pub lut: Option<String>,
}

/// Why there is no profile.
#[derive(Debug, thiserror::Error)]
pub enum ProfileError {
    /// The file cannot be read.
    #[error("{path}: {reason}")]
    Unreadable {
        /// The file.
        path: String,
        /// Why, and what to do.
        reason: String,
    },
    /// Something in it cannot be meant.
    #[error(transparent)]
    File(#[from] FileError),
}

/// Opens a profile.
///
/// # Errors
/// It cannot be read, or not be meant.
pub fn open(path: &Path) -> Result<Profile, ProfileError> {
    let text = fs::read_to_string(path).map_err(|error| {
        let reason = match error.kind() {
            std::io::ErrorKind::NotFound => "no such monitor profile; check the spelling and the folder".to_string(),
            std::io::ErrorKind::InvalidData => "this is not text; name a monitor profile".to_string(),
            _ => format!("it cannot be read: {error}"),
        };
        ProfileError::Unreadable { path: path.display().to_string(), reason }
    })?;
    Ok(read(&text, path)?)
}

/// The monitor of a profile, with its LUT.
///
/// # Errors
/// The profile or the LUT cannot be read, or not be meant.
pub fn load(path: &Path) -> Result<Monitor, Fault> {
    let Profile { mut monitor, lut } = open(path).map_err(Fault::failed)?;
    if let Some(file) = lut {
        let mut book = ops::Book::default();
        add_lut(&mut book, &file, path.parent().unwrap_or(Path::new("")))?;
        monitor.lut = book.lut(&file).map(|lut| (file, lut.clone()));
    }
    Ok(monitor)
}

/// Reads a profile. `path` is named in messages and not opened.
///
/// # Errors
/// The first thing in it that cannot be meant, by line and column.
pub fn read(text: &str, path: &Path) -> Result<Profile, FileError> {
    let source = Source { path, text };
    let table = DeTable::parse(text).map_err(|error| {
        let at = error.span().unwrap_or(0..0);
        source.fault(&at, format!("this is no TOML: {}", error.message().replace('\n', ", ")))
    })?;
    let mut file = Section::whole(source, table.get_ref());
    let name = file.need("name", "name = \"what you call the monitor\"")?;
    let primaries = file.need("primaries", "primaries = \"P3-D65\", or red, green, blue and white as [x, y]")?;
    let white = file.need("white", "white = \"kept\" or white = \"own\"")?;
    let eotf = file.need("eotf", "eotf = \"BT.1886\", \"sRGB\", \"gamma 2.2\" or \"PQ\"")?;
    let peak = file.need("peak_nits", "peak_nits = 100, the light of its white")?;
    let black = file.need("black_nits", "black_nits = 0.05, the light of its black")?;
    let lut = file.take("lut");
    file.end()?;
    let called = name.text()?.trim();
    if called.is_empty() {
        return Err(name.wrong("it is empty; give the monitor a name"));
    }
    let (peak_nits, black_nits) = (peak.number()?, black.number()?);
    if !PEAK_NITS.contains(&peak_nits) {
        let (low, high) = (PEAK_NITS.start(), PEAK_NITS.end());
        return Err(peak.wrong(format!("{peak_nits} nits is the white of no monitor; {low} to {high} are")));
    }
    if !(0.0..peak_nits).contains(&black_nits) {
        return Err(black.wrong(format!("{black_nits} nits is no black below a peak of {peak_nits} nits")));
    }
    let monitor = Monitor {
        name: called.to_string(),
        primaries: read_primaries(&primaries, called)?,
        white: read_white(&white)?,
        eotf: read_eotf(&eotf)?,
        peak_nits,
        black_nits,
        lut: None,
    };
    let lut = lut.map(|lut| lut.text().map(str::to_string)).transpose()?;
    Ok(Profile { monitor, lut })
}

fn read_primaries(found: &Found<'_>, monitor: &str) -> Result<Primaries, FileError> {
    if let Ok(name) = found.text() {
        return Primaries::named(name).ok_or_else(|| {
            let near = names::near(name, Primaries::names().iter().copied());
            found.wrong(format!(
                "'{name}' is not known; near names: {near}; or give red, green, blue and white as [x, y]"
            ))
        });
    }
    let mut own = found.section_or("a name, or { red = [x, y], green = .., blue = .., white = .. },")?;
    let mut xy = |key| -> Result<Xy, FileError> {
        let found = own.need(key, &format!("{key} = [x, y]"))?;
        match found.numbers()?[..] {
            [x, y] => Ok(Xy::new(x, y)),
            _ => Err(found.wrong("two numbers are wanted, x and y")),
        }
    };
    let (red, green, blue, white) = (xy("red")?, xy("green")?, xy("blue")?, xy("white")?);
    own.end()?;
    Primaries::new(format!("{monitor}'s"), red, green, blue, white).map_err(|error| found.wrong(error))
}

fn read_white(found: &Found<'_>) -> Result<MonitorWhite, FileError> {
    match found.text()? {
        "kept" => Ok(MonitorWhite::Kept),
        "own" => Ok(MonitorWhite::Own),
        other => Err(found.wrong(format!(
            "'{other}' is neither \"kept\" (the picture's white as it is) nor \"own\" (adapted to the monitor's)"
        ))),
    }
}

fn read_eotf(found: &Found<'_>) -> Result<Eotf, FileError> {
    let text = found.text()?;
    let wanted = || found.wrong(format!("'{text}' is none; BT.1886, sRGB, PQ or gamma with a number is wanted"));
    let known = [("BT.1886", Eotf::Bt1886), ("sRGB", Eotf::Srgb), ("PQ", Eotf::Pq)];
    if let Some((_, eotf)) = known.into_iter().find(|(name, _)| names::same(name, text)) {
        return Ok(eotf);
    }
    let exponent = text.trim().to_lowercase().strip_prefix("gamma").and_then(|rest| rest.trim().parse().ok());
    let exponent: f64 = exponent.ok_or_else(wanted)?;
    if !GAMMA.contains(&exponent) {
        let (low, high) = (GAMMA.start(), GAMMA.end());
        return Err(found.wrong(format!("gamma {exponent} is that of no monitor; {low} to {high} are")));
    }
    Ok(Eotf::Gamma(exponent))
}

#[cfg(test)]
mod tests {
    use super::*;

    const DESK: &str = "name = \"left of the desk\"\nprimaries = \"P3-D65\"\nwhite = \"kept\"\neotf = \"gamma 2.4\"\n\
                        peak_nits = 120\nblack_nits = 0.03\n";

    fn profile(text: &str) -> Result<Profile, String> {
        read(text, Path::new("desk.toml")).map_err(|error| error.to_string())
    }

    #[test]
    fn a_profile_says_what_the_monitor_is() {
        let Profile { monitor, lut } = profile(DESK).unwrap();
        assert_eq!((monitor.name.as_str(), monitor.eotf, lut), ("left of the desk", Eotf::Gamma(2.4), None));
        assert_eq!((monitor.peak_nits, monitor.black_nits, monitor.white), (120.0, 0.03, MonitorWhite::Kept));
        assert_eq!(monitor.primaries, colour::primaries::P3_D65);
        let own = "{ red = [0.68, 0.31], green = [0.25, 0.7], blue = [0.15, 0.05], white = [0.3457, 0.3585] }";
        let text = DESK.replace("\"P3-D65\"", own).replace("kept", "own").replace("gamma 2.4", "srgb");
        let Profile { monitor, lut } = profile(&(text + "lut = \"desk.cube\"\n")).unwrap();
        assert_eq!((monitor.primaries.white, monitor.primaries.green), (Xy::new(0.3457, 0.3585), Xy::new(0.25, 0.7)));
        assert_eq!((monitor.white, monitor.eotf), (MonitorWhite::Own, Eotf::Srgb));
        assert_eq!(lut.as_deref(), Some("desk.cube"));
    }

    #[test]
    fn what_cannot_be_meant_is_told_with_its_place() {
        for (from, to, place, words) in [
            ("name = \"left of the desk\"", "name = \" \"", "line 1, column 8", "give the monitor a name"),
            ("\"P3-D65\"", "\"P3-D60\"", "line 2, column 13", "near names: P3-D65"),
            ("\"P3-D65\"", "{ red = [0.6, 0.3] }", "line 2, column 1", "green = [x, y]"),
            ("\"P3-D65\"", "{ red = [0.6] }", "line 2, column 21", "x and y"),
            ("\"P3-D65\"", "3", "line 2, column 13", "a name, or { red"),
            ("\"kept\"", "\"D65\"", "line 3, column 9", "neither \"kept\""),
            ("gamma 2.4", "gamma", "line 4, column 8", "BT.1886, sRGB, PQ or gamma"),
            ("gamma 2.4", "gamma 24", "line 4, column 8", "1 to 4"),
            ("= 120", "= \"120\"", "line 5, column 13", "without quotation marks"),
            ("= 120", "= 0.5", "line 5, column 13", "white of no monitor"),
            ("0.03", "-0.03", "line 6, column 14", "no black"),
            ("0.03", "120", "line 6, column 14", "no black below a peak of 120"),
            ("black_nits = 0.03\n", "", "line 1, column 1", "black_nits is missing"),
            ("black_nits", "black", "line 1, column 1", "black_nits is missing"),
            ("white = \"kept\"", "white = \"kept\"\nhue = 1", "line 4, column 1", "no field 'hue'"),
            ("name =", "name", "line 1", "no TOML"),
        ] {
            assert!(DESK.contains(from), "{from}");
            let told = profile(&DESK.replace(from, to)).unwrap_err();
            assert!(told.starts_with("desk.toml: ") && told.contains(place) && told.contains(words), "{to}: {told}");
        }
    }
}
