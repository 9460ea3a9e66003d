//! Cube LUT files: one 1D or 3D table as text.
//!
//! Keywords come first, each once and in any order: `LUT_1D_SIZE n` or `LUT_3D_SIZE n`, `TITLE "text"`, and
//! `DOMAIN_MIN r g b`, `DOMAIN_MAX r g b` (0 and 1 unless told). Then a line of three numbers for each entry, the red
//! input changing first. Lines end in LF or CRLF; those that begin with `#` are comments, and these may hold anything
//! and be of any length. Other lines are 7-bit text of at most 250 bytes; numbers lie within 1e37 of zero.
//!
//! # Source
//! Cube LUT Specification 1.0 (2013).

use std::fmt::Write as _;

use colour::lut::{Lut, LutError, LutKind};

/// Bytes that a line may have, without its end.
const LONGEST_LINE: usize = 250;

/// What a Cube file holds.
#[derive(Debug, Clone, PartialEq)]
pub struct Cube {
    /// What it is called, if it says so.
    pub title: Option<String>,
    /// Its table.
    pub lut: Lut,
}

/// A file that is no Cube LUT.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
#[error("{file}{}: {problem}", line.map(|line| format!(", line {line}")).unwrap_or_default())]
pub struct CubeError {
    /// The file, as it was named.
    pub file: String,
    /// The line, counted from one; none where the file as a whole is at fault.
    pub line: Option<usize>,
    /// What is wrong with it and what to do.
    pub problem: String,
}

/// Why a table cannot be written.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum WriteError {
    /// A title that does not fit.
    #[error(
        "the title '{0}' does not fit into a Cube file; give it one line of plain ASCII without quotation marks, 200 characters at most"
    )]
    Title(String),
}

/// Reads a file's bytes; `file` is its name for messages.
///
/// # Errors
/// The first thing that does not fit, with its line and what to do.
pub fn read(bytes: &[u8], file: &str) -> Result<Cube, CubeError> {
    let mut reading = Reading::default();
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    for (index, line) in bytes.split(|&byte| byte == b'\n').enumerate() {
        let at = |problem| CubeError { file: file.to_string(), line: Some(index + 1), problem };
        let line = line.strip_suffix(b"\r").unwrap_or(line).trim_ascii();
        if line.is_empty() || line.starts_with(b"#") {
            continue;
        }
        let text = plain(line).map_err(at)?;
        reading.line(text, index + 1).map_err(at)?;
    }
    reading.finish().map_err(|(line, problem)| CubeError { file: file.to_string(), line, problem })
}

/// A line as 7-bit text.
fn plain(line: &[u8]) -> Result<&str, String> {
    if line.len() > LONGEST_LINE {
        return Err(format!("it has {} bytes where {LONGEST_LINE} are allowed; is this a Cube LUT?", line.len()));
    }
    match std::str::from_utf8(line) {
        Ok(text) if text.is_ascii() => Ok(text),
        _ => Err("it is not plain ASCII text; only comments may hold other letters".to_string()),
    }
}

/// A keyword's value and the line where it stands.
type Said<T> = Option<(T, usize)>;

/// What has been read so far.
#[derive(Debug, Default)]
struct Reading {
    title: Said<String>,
    size: Said<(LutKind, usize)>,
    low: Said<[f64; 3]>,
    high: Said<[f64; 3]>,
    entries: Vec<[f64; 3]>,
}

impl Reading {
    /// Takes one line that is neither empty nor a comment.
    fn line(&mut self, text: &str, line: usize) -> Result<(), String> {
        if !text.starts_with(|c: char| c.is_ascii_alphabetic()) {
            return self.entry(text);
        }
        let (keyword, rest) = text.split_once(|c: char| c.is_ascii_whitespace()).unwrap_or((text, ""));
        let rest = rest.trim();
        // What is known is settled before the place: a keyword of another file is the better message.
        let known = ["TITLE", "LUT_1D_SIZE", "LUT_3D_SIZE", "DOMAIN_MIN", "DOMAIN_MAX"];
        if !known.contains(&keyword) {
            return Err(format!("'{}' is no keyword of a Cube LUT; these are {}", short(keyword), known.join(", ")));
        }
        if !self.entries.is_empty() {
            return Err(format!("{keyword} stands after numbers of the table; put it before them"));
        }
        match keyword {
            "TITLE" => once(&mut self.title, keyword, line, title(rest)?),
            "LUT_1D_SIZE" => once(&mut self.size, "a size", line, (LutKind::OneD, size(LutKind::OneD, rest)?)),
            "LUT_3D_SIZE" => once(&mut self.size, "a size", line, (LutKind::ThreeD, size(LutKind::ThreeD, rest)?)),
            "DOMAIN_MIN" => once(&mut self.low, keyword, line, three(rest)?),
            _ => once(&mut self.high, keyword, line, three(rest)?),
        }
    }

    fn entry(&mut self, text: &str) -> Result<(), String> {
        let entry = three(text)?;
        let Some(((kind, size), _)) = self.size else {
            return Err("the table begins before its size; put LUT_1D_SIZE or LUT_3D_SIZE before it".to_string());
        };
        let wanted = kind.entries(size);
        if self.entries.len() == wanted {
            return Err(format!(
                "the table goes on after the {wanted} entries of a {} LUT of size {size}",
                kind.name()
            ));
        }
        self.entries.push(entry);
        Ok(())
    }

    fn finish(self) -> Result<Cube, (Option<usize>, String)> {
        let Some(((kind, size), _)) = self.size else {
            return Err((None, "it has neither LUT_1D_SIZE nor LUT_3D_SIZE; is this a Cube LUT?".to_string()));
        };
        let domain_line = self.high.or(self.low).map(|(_, line)| line);
        let low = self.low.map_or([0.0; 3], |(low, _)| low);
        let high = self.high.map_or([1.0; 3], |(high, _)| high);
        let lut = Lut::new(kind, size, low, high, self.entries).map_err(|error| match error {
            LutError::Domain { .. } => (domain_line, format!("{error}; correct DOMAIN_MIN or DOMAIN_MAX")),
            LutError::Entries { .. } => (None, format!("{error}; the file is cut short, or its size is wrong")),
            other => (None, other.to_string()),
        })?;
        Ok(Cube { title: self.title.map(|(title, _)| title), lut })
    }
}

/// Keeps what a keyword says, unless it has been said before.
fn once<T>(said: &mut Said<T>, what: &str, line: usize, value: T) -> Result<(), String> {
    if let Some((_, before)) = said {
        return Err(format!("{what} is given twice; the first is in line {before}; take one of them out"));
    }
    *said = Some((value, line));
    Ok(())
}

fn title(text: &str) -> Result<String, String> {
    let inside = text.strip_prefix('"').and_then(|rest| rest.strip_suffix('"'));
    inside.map(str::to_string).ok_or_else(|| "a title stands between quotation marks: TITLE \"text\"".to_string())
}

fn size(kind: LutKind, text: &str) -> Result<usize, String> {
    let sizes = kind.sizes();
    let wanted =
        || format!("'{}' is no size of a {} LUT; {} to {} is", short(text), kind.name(), sizes.start(), sizes.end());
    text.parse().ok().filter(|size| sizes.contains(size)).ok_or_else(wanted)
}

fn three(text: &str) -> Result<[f64; 3], String> {
    let mut numbers = [0.0; 3];
    let mut words = text.split_ascii_whitespace();
    for number in &mut numbers {
        let word = words.next().ok_or_else(|| format!("three numbers are wanted, not '{}'", short(text)))?;
        let read = word.parse().ok().filter(|number: &f64| number.abs() <= Lut::LARGEST);
        *number = read.ok_or_else(|| format!("'{}' is no number within 1e37 of zero", short(word)))?;
    }
    match words.next() {
        None => Ok(numbers),
        Some(_) => Err(format!("three numbers are wanted, not '{}'", short(text))),
    }
}

/// The beginning of a text, for messages.
fn short(text: &str) -> String {
    if text.len() <= 40 { text.to_string() } else { format!("{}...", text.chars().take(40).collect::<String>()) }
}

/// Writes a file. Reading it gives the same table to the last bit.
///
/// # Errors
/// A title that does not fit.
pub fn write(cube: &Cube) -> Result<String, WriteError> {
    let lut = &cube.lut;
    let mut text = String::new();
    if let Some(title) = &cube.title {
        if title.len() > 200 || title.contains('"') || title.bytes().any(|byte| !(b' '..=b'~').contains(&byte)) {
            return Err(WriteError::Title(title.clone()));
        }
        text += &format!("TITLE \"{title}\"\n");
    }
    text += &match lut.kind() {
        LutKind::OneD => format!("LUT_1D_SIZE {}\n", lut.size()),
        LutKind::ThreeD => format!("LUT_3D_SIZE {}\n", lut.size()),
    };
    for (keyword, bound, usual) in [("DOMAIN_MIN", lut.low(), 0.0), ("DOMAIN_MAX", lut.high(), 1.0)] {
        if bound != [usual; 3] {
            text += keyword;
            row(&mut text, bound);
        }
    }
    for &entry in lut.entries() {
        row(&mut text, entry);
    }
    Ok(text)
}

/// Three numbers, each by the shortest text that means it, and the end of the line; a blank before them where the line
/// has begun.
fn row(text: &mut String, numbers: [f64; 3]) {
    for number in numbers {
        if !text.ends_with('\n') {
            text.push(' ');
        }
        let plain = number == 0.0 || (1e-5..1e15).contains(&number.abs());
        // Writing to a string cannot fail.
        let _ = if plain { write!(text, "{number}") } else { write!(text, "{number:e}") };
    }
    text.push('\n');
}

#[cfg(test)]
mod tests;
