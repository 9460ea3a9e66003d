//! Reading a project file: every fault has its line and column.

use std::path::Path;

use graph::{Document, DocumentError, PlaceError, SCHEMA_VERSION, Wiring};
use toml::de::DeTable;

use super::blame::blame;
use super::fault::{FileError, Source};
use super::section::{Found, Section};
use super::{Written, kit, shots};

/// Reads a project. `path` is named in messages and not opened.
///
/// A document of schema version 1, which was JSON, is read too.
///
/// # Errors
/// A newer version, before anything else is looked at; then the first thing that cannot be meant.
pub fn read(text: &str, path: &Path) -> Result<Written, FileError> {
    read_with_notes(text, path).map(|(written, _)| written)
}

/// As [`read`], with what its owner should know: where operations have newer maths than the file says, and what keeps
/// its picture.
///
/// # Errors
/// As [`read`].
pub fn read_with_notes(text: &str, path: &Path) -> Result<(Written, Vec<String>), FileError> {
    let mut notes = Vec::new();
    let written = read_noting(text, path, &mut notes)?;
    Ok((written, notes))
}

fn read_noting(text: &str, path: &Path, notes: &mut Vec<String>) -> Result<Written, FileError> {
    let source = Source { path, text };
    if text.trim_start().starts_with('{') {
        return json(source);
    }
    refuse_newer(source)?;
    let table = DeTable::parse(text).map_err(|error| {
        let at = error.span().unwrap_or(0..0);
        source.fault(&at, format!("this is no TOML: {}", error.message().replace('\n', ", ")))
    })?;
    let mut file = Section::whole(source, table.get_ref());
    let version = file.need("schema_version", &format!("schema_version = {SCHEMA_VERSION} in the first line"))?;
    let found = version.whole()?;
    if found > SCHEMA_VERSION {
        return Err(FileError::Newer { path: path.to_owned(), found: found.to_string() });
    }
    if found < SCHEMA_VERSION {
        return Err(version.wrong(format!("this program reads version {SCHEMA_VERSION}, and version 1 as JSON")));
    }
    // A name that means nothing is told before what is missing because of it.
    let (kit, candidates, scene) = (file.section("kit")?, file.section("candidates")?, file.section("scene")?);
    let (set_ups, shots) = (file.section("set_ups")?, file.section("shots")?);
    let encoding_files = file.take("encoding_files");
    file.end()?;
    let encoding_files = match encoding_files {
        Some(found) => texts(&found)?,
        None => Vec::new(),
    };
    let mut document = Document { kit: kit::read(&kit, notes)?, ..Document::default() };
    for found in candidates.all() {
        let wiring = wiring(&found, &document)?;
        document.candidates.insert(found.key.to_string(), wiring);
    }
    document.scene = shots::read_scene(scene, &document.kit)?;
    for found in set_ups.all() {
        document.set_ups.insert(found.key.to_string(), shots::read_set_up(&found, &document.kit)?);
    }
    for found in shots.all() {
        document.shots.insert(found.key.to_string(), shots::read_shot(&found, &document)?);
    }
    document.check().map_err(|error| source.fault(&blame(&error, &document, table.get_ref()), error.to_string()))?;
    Ok(Written { document, encoding_files })
}

/// Looks at the first line alone, so that a newer file is told from a damaged one whatever else it holds.
fn refuse_newer(source: Source<'_>) -> Result<(), FileError> {
    let mut lines = source.text.trim_start_matches('\u{feff}').lines().map(str::trim);
    let first = lines.find(|line| !line.is_empty() && !line.starts_with('#')).unwrap_or_default();
    let Some((key, value)) = first.split_once('=') else { return Ok(()) };
    let value = value.split('#').next().unwrap_or_default().trim();
    let digits = !value.is_empty() && value.bytes().all(|byte| byte.is_ascii_digit());
    // A number too long for any integer is newer as well.
    let newer = digits && value.parse::<u32>().map_or(true, |version| version > SCHEMA_VERSION);
    if key.trim() == "schema_version" && newer {
        return Err(FileError::Newer { path: source.path.to_owned(), found: value.to_string() });
    }
    Ok(())
}

fn json(source: Source<'_>) -> Result<Written, FileError> {
    let path = source.path.to_owned();
    match Document::from_json(source.text) {
        Ok(document) => {
            Ok(Written { document: Document { schema_version: SCHEMA_VERSION, ..document }, ..Written::default() })
        }
        Err(DocumentError::Newer { found }) => Err(FileError::Newer { path, found: found.to_string() }),
        Err(error) => Err(FileError::Json { path, problem: error.to_string() }),
    }
}

fn texts(found: &Found<'_>) -> Result<Vec<String>, FileError> {
    found.list()?.iter().map(|text| text.text().map(str::to_string)).collect()
}

/// A candidate's places; a fault stands at the line of its place.
fn wiring(found: &Found<'_>, document: &Document) -> Result<Wiring, FileError> {
    let lines = found.list()?;
    let texts = texts(found)?;
    let wiring = Wiring::from_lines(&texts).map_err(|error: PlaceError| {
        // Of two lines that are the same, it is the second that cannot be.
        let line = texts.iter().rposition(|text| *text == error.line).and_then(|at| lines.get(at));
        line.unwrap_or(found).wrong(&error.reason)
    })?;
    for (line, text) in lines.iter().zip(&texts) {
        let member = Wiring::from_lines(&[text])
            .ok()
            .and_then(|alone| alone.graph().node_weights().next().map(|place| place.member.clone()));
        if let Some(member) = member.filter(|member| !document.kit.contains_key(member)) {
            let problem = format!("'{member}' is not in the kit; add [kit.{member}], or take the line away");
            return Err(line.wrong(problem));
        }
    }
    wiring.in_order().map_err(|error| found.wrong_key(format!("{error}: change a from= or side=")))?;
    Ok(wiring)
}
