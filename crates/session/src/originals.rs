//! A new project from a folder of originals: which shots lie there, and what they are likely encoded in.
//!
//! Nothing is decided here: what files say and what their codes let one guess is found, with its reason, for somebody to
//! confirm or to change.

use std::collections::BTreeSet;
use std::fs;
use std::path::{Path, PathBuf};

use colour::CodeRange;
use frame::{Range, Size};
use graph::{Document, Place, Shot, Wiring};
use media::{Sequence, Survey};
use ops::Op;

use crate::file::Written;
use crate::{Fault, likely, paths};

/// How deep folders are looked into.
const DEPTH: usize = 4;
/// Frames of a shot that are read for the guess: its first, its last, and others between them.
const LOOKED_AT: usize = 3;

/// The operations of a new project, in the order of work, and the one that differs from it.
const ORDERS: [(&str, [&str; 4]); 2] = [
    ("exposure-first", ["input-transform", "exposure", "white-balance", "output-transform"]),
    ("white-first", ["input-transform", "white-balance", "exposure", "output-transform"]),
];

/// A shot as it was found.
#[derive(Debug, Clone, PartialEq)]
pub struct Found {
    /// Its name: that of its files without number and ending.
    pub name: String,
    /// Where its frames lie.
    pub media: PathBuf,
    /// Frames that are there.
    pub frames: usize,
    /// First and last number.
    pub span: [i64; 2],
    /// Numbers that are missing between them, in words; empty where none is.
    pub missing: String,
    /// Width and height.
    pub size: Size,
    /// How samples are stored, in words.
    pub stored: String,
    /// The encoding that its files say, or that its codes let one guess.
    pub encoding: Option<String>,
    /// Why it is believed, or what speaks for none.
    pub reason: String,
    /// The range of its codes; none where its files say it, or where nothing is known.
    pub range: Option<CodeRange>,
    /// The exposure index, where the encoding has one.
    pub exposure_index: Option<u32>,
}

/// What lies in a folder.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Folder {
    /// The shots, by name.
    pub shots: Vec<Found>,
    /// What cannot be read, each with its file and why.
    pub refused: Vec<String>,
}

/// Looks for shots in a folder and in those below it. `goes_on` is asked before each.
///
/// # Errors
/// The folder itself cannot be read.
pub fn look(folder: &Path, goes_on: &dyn Fn() -> bool) -> Result<Folder, Fault> {
    let mut found = Folder::default();
    let mut sequences = Vec::new();
    gather(folder, DEPTH, &mut sequences, &mut found.refused)?;
    let mut names = BTreeSet::new();
    for (folder, sequence) in sequences {
        if !goes_on() {
            break;
        }
        match shot(&folder, &sequence) {
            Ok(mut shot) => {
                let free = |name: &String| !names.contains(name);
                // Of two that are called alike, the folder tells them apart.
                let above = folder.ancestors().filter_map(|above| above.file_name()?.to_str());
                let above = above.into_iter().find(|above| *above != shot.name).unwrap_or("shot");
                let of_folder = format!("{above}_{}", shot.name);
                let numbered = (2..).map(|number| format!("{}_{number}", shot.name));
                let names_for = [shot.name.clone(), of_folder].into_iter().chain(numbered);
                if let Some(name) = names_for.into_iter().find(free) {
                    names.insert(name.clone());
                    shot.name = name;
                }
                found.shots.push(shot);
            }
            Err(fault) => found.refused.push(fault.to_string()),
        }
    }
    found.shots.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(found)
}

fn gather(
    folder: &Path,
    depth: usize,
    sequences: &mut Vec<(PathBuf, Sequence)>,
    refused: &mut Vec<String>,
) -> Result<(), Fault> {
    match Sequence::all_in(folder) {
        Ok(found) => sequences.extend(found.into_iter().map(|sequence| (folder.to_owned(), sequence))),
        Err(error) => refused.push(error.to_string()),
    }
    let entries = fs::read_dir(folder)
        .map_err(|error| Fault::failed(format!("{}: it cannot be read: {error}", folder.display())))?;
    let mut below: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).filter(|path| path.is_dir()).collect();
    below.retain(|path| path.file_name().is_some_and(|name| !name.to_string_lossy().starts_with('.')));
    // What the demo says of a shot is no shot.
    below.retain(|path| !path.join("truth.json").is_file());
    below.sort();
    for path in below.iter().filter(|_| depth > 0) {
        if let Err(fault) = gather(path, depth - 1, sequences, refused) {
            refused.push(fault.to_string());
        }
    }
    Ok(())
}

/// What is known of a sequence from a few of its frames.
fn shot(folder: &Path, sequence: &Sequence) -> Result<Found, Fault> {
    let numbers: Vec<i64> = sequence.frames().iter().map(|(number, _)| *number).collect();
    let last = numbers.len().saturating_sub(1);
    let wanted: BTreeSet<i64> =
        (0..LOOKED_AT).filter_map(|at| numbers.get(at * last / (LOOKED_AT - 1)).copied()).collect();
    let some = sequence.some(|number| wanted.contains(&number));
    let survey = Survey::of(&some, |_, _| {})?;
    let media = folder.join(sequence.name());
    let first = survey.frames.first().ok_or_else(|| Fault::failed(format!("{}: no frame", media.display())))?;
    let about = &first.about;
    let guess = likely::guess(&survey, about.range);
    let (encoding, reason) = match (&about.encoding, guess) {
        (Some((id, reason)), _) => (Some(id.clone()), reason.clone()),
        (None, Some(guess)) => (guess.encodings.first().map(ToString::to_string), guess.words),
        (None, None) => (None, "neither the files nor their codes tell; say what they are".to_string()),
    };
    let range = match about.range {
        Some(Range::Full) => Some(CodeRange::Full),
        Some(Range::Legal) => Some(CodeRange::Legal),
        None => likely::guess(&survey, None).and_then(|guess| guess.range),
    };
    let [first_number, last_number] = [*sequence.span().start(), *sequence.span().end()];
    Ok(Found {
        name: name_of(sequence.name()),
        media,
        frames: numbers.len(),
        span: [first_number, last_number],
        missing: sequence.missing_in_words(),
        size: first.size,
        stored: first.layout.name(),
        encoding,
        reason,
        range,
        exposure_index: None,
    })
}

/// The name of a shot: that of its files without the number and the ending.
fn name_of(files: &str) -> String {
    let stem = files.rsplit_once('.').map_or(files, |(stem, _)| stem);
    let stem: String = stem.chars().take_while(|sign| !matches!(sign, '#' | '%')).collect();
    // A lone file has its number written out.
    let lone = stem.rsplit_once('.').filter(|(_, number)| number.chars().all(|sign| sign.is_ascii_digit()));
    let trimmed = lone.map_or(stem.as_str(), |(name, _)| name).trim_end_matches(['.', '_', '-', ' ']);
    if trimmed.is_empty() { "shot".to_string() } else { trimmed.to_string() }
}

/// What a project at a path holds that begins with these shots: its kit, two orders of work, and nothing corrected yet.
///
/// # Errors
/// In words: a shot without a name, or two of one name.
pub fn project(shots: &[Found], at: &Path) -> Result<Written, String> {
    let mut document = Document::default();
    for id in ORDERS[0].1 {
        let op = Op::all().into_iter().find(|op| op.id() == id).ok_or_else(|| format!("there is no operation {id}"))?;
        document.kit.insert(id.to_string(), op);
    }
    for (name, order) in ORDERS {
        document.candidates.insert(name.to_string(), Wiring::linear(order.map(Place::of)));
    }
    let folder = paths::whole(&crate::folder_of(at));
    for found in shots {
        let shot = Shot {
            media: paths::written(&paths::whole(&found.media), &folder),
            encoding: found.encoding.clone(),
            exposure_index: found.exposure_index,
            range: found.range,
            ..Shot::default()
        };
        let name = found.name.trim();
        if name.is_empty() {
            return Err(format!("{}: the shot has no name; type one", found.media.display()));
        }
        if document.shots.insert(name.to_string(), shot).is_some() {
            return Err(format!("two shots are called {name}; give one of them another name"));
        }
    }
    Ok(Written { document, ..Written::default() })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shots_are_called_as_their_files() {
        for (files, name) in [
            ("deck_010.####.dpx", "deck_010"),
            ("deck_010.%04d.dpx", "deck_010"),
            ("galley_.###.exr", "galley"),
            ("still.tif", "still"),
            ("truth.0001.exr", "truth"),
            ("deck_010.dpx", "deck_010"),
            ("####.dpx", "shot"),
        ] {
            assert_eq!(name_of(files), name);
        }
    }
}
