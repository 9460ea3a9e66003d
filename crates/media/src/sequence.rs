//! From what a user typed to the frames on disk.

use std::collections::BTreeMap;
use std::fs;
use std::ops::RangeInclusive;
use std::path::{Path, PathBuf};

use crate::names::{Numbered, folder_of, split_number};
use crate::read::refuse_movie;
use crate::{Format, MediaError, movie};

/// The number of a lone file that has none in its name.
const LONE_NUMBER: i64 = 1;

/// The frames of one sequence in the order of their numbers.
#[derive(Debug, Clone)]
pub struct Sequence {
    name: String,
    frames: Vec<(i64, PathBuf)>,
    missing: Vec<RangeInclusive<i64>>,
}

impl Sequence {
    /// Opens `name.%04d.dpx`, `name.####.exr`, one file, or a folder that holds exactly one sequence.
    ///
    /// The number of digits in a pattern is a least: `name.99.dpx` and `name.100.dpx` belong together.
    /// Files are only listed, not opened; but a name that ends as movies do is looked into.
    ///
    /// # Errors
    /// Nothing there, a folder with no or several sequences, a pattern with two numbers, two files
    /// for one number, or a movie.
    pub fn open(argument: &Path) -> Result<Sequence, MediaError> {
        // A file that is there under this very name is meant, whatever its name looks like.
        match fs::metadata(argument) {
            Ok(found) if found.is_dir() => return Sequence::in_folder(argument),
            Ok(_) => {
                refuse_movie(argument)?;
                return Ok(Sequence::lone(argument));
            }
            Err(error) if error.kind() != std::io::ErrorKind::NotFound => {
                return Err(MediaError::reading(argument, error));
            }
            Err(_) => {}
        }
        let missing = || MediaError::Missing { path: argument.to_owned() };
        let name = argument.file_name().and_then(|name| name.to_str()).ok_or_else(missing)?;
        let pattern = Numbered::parse(name, argument)?.ok_or_else(missing)?;
        let folder = folder_of(argument);
        let files = file_names(&folder)?;
        let numbered = files.iter().filter_map(|name| Some((pattern.number_in(name)?, name)));
        let frames = ordered(numbered, &folder)?;
        let (_, first) = frames.first().ok_or_else(|| MediaError::NoFrames { path: argument.to_owned() })?;
        refuse_movie(first)?;
        Ok(Sequence::new(pattern.shown(), frames))
    }

    /// The frames, ordered by number.
    pub fn frames(&self) -> &[(i64, PathBuf)] {
        &self.frames
    }

    /// Numbers that are missing between the first and the last frame.
    pub fn missing(&self) -> &[RangeInclusive<i64>] {
        &self.missing
    }

    /// The name for messages, as in `deck.####.dpx`.
    pub fn name(&self) -> &str {
        &self.name
    }

    /// First and last number.
    pub fn span(&self) -> RangeInclusive<i64> {
        let first = self.frames.first().map_or(LONE_NUMBER, |frame| frame.0);
        let last = self.frames.last().map_or(LONE_NUMBER, |frame| frame.0);
        first..=last
    }

    /// The frames from `first` to `last`. What is not there of that range counts as missing, at its ends
    /// too.
    ///
    /// # Errors
    /// [`MediaError::OutOfRange`] where nothing is left.
    pub fn restrict(&self, first: i64, last: i64) -> Result<Sequence, MediaError> {
        let inside = |frame: &&(i64, PathBuf)| (first..=last).contains(&frame.0);
        let frames: Vec<_> = self.frames.iter().filter(inside).cloned().collect();
        if frames.is_empty() {
            return Err(MediaError::OutOfRange { name: self.name.clone(), first, last, span: words(&[self.span()]) });
        }
        let missing = gaps(&frames, first, last);
        Ok(Sequence { name: self.name.clone(), frames, missing })
    }

    /// Those frames whose numbers are wanted, maybe none. What is left out does not count as missing.
    #[must_use]
    pub fn some(&self, mut wanted: impl FnMut(i64) -> bool) -> Sequence {
        let frames = self.frames.iter().filter(|(number, _)| wanted(*number)).cloned().collect();
        Sequence { name: self.name.clone(), frames, missing: Vec::new() }
    }

    /// An error where frames are missing.
    ///
    /// # Errors
    /// [`MediaError::Gap`], naming the missing numbers.
    pub fn require_whole(&self) -> Result<(), MediaError> {
        if self.missing.is_empty() {
            return Ok(());
        }
        Err(MediaError::Gap { name: self.name.clone(), missing: self.missing_in_words() })
    }

    /// The missing numbers in words, as in `frames 1003, 1007-1009`; empty where none is missing.
    pub fn missing_in_words(&self) -> String {
        match self.missing.as_slice() {
            [] => String::new(),
            [one] if one.start() == one.end() => format!("frame {}", one.start()),
            more => format!("frames {}", words(more)),
        }
    }

    fn new(name: String, frames: Vec<(i64, PathBuf)>) -> Sequence {
        let mut sequence = Sequence { name, frames, missing: Vec::new() };
        let span = sequence.span();
        sequence.missing = gaps(&sequence.frames, *span.start(), *span.end());
        sequence
    }

    fn lone(path: &Path) -> Sequence {
        let name = path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned();
        let number = split_number(&name).map_or(LONE_NUMBER, |(_, number)| number);
        Sequence::new(name, vec![(number, path.to_owned())])
    }

    /// Every sequence that lies in a folder itself, by name; none where there is none.
    ///
    /// # Errors
    /// A folder that cannot be read, two files for one number.
    pub fn all_in(folder: &Path) -> Result<Vec<Sequence>, MediaError> {
        Self::grouped(&file_names(folder)?, folder)
    }

    fn grouped(files: &[String], folder: &Path) -> Result<Vec<Sequence>, MediaError> {
        let mut groups: BTreeMap<(String, String), Vec<(i64, &String)>> = BTreeMap::new();
        let mut widths: BTreeMap<(String, String), usize> = BTreeMap::new();
        for name in files {
            if Format::of_path(Path::new(name)).is_err() {
                continue;
            }
            let (pattern, number) = split_number(name).unwrap_or_else(|| {
                let whole = Numbered { before: name.clone(), width: 0, after: String::new() };
                (whole, LONE_NUMBER)
            });
            let key = (pattern.before, pattern.after);
            let width = widths.entry(key.clone()).or_insert(pattern.width);
            *width = (*width).min(pattern.width);
            groups.entry(key).or_default().push((number, name));
        }
        let mut sequences = Vec::new();
        for (key, members) in groups {
            let name = match (members.as_slice(), widths.get(&key)) {
                ([(_, only)], _) => (*only).clone(),
                (_, width) => Numbered { before: key.0, width: width.copied().unwrap_or(1), after: key.1 }.shown(),
            };
            sequences.push(Sequence::new(name, ordered(members.into_iter(), folder)?));
        }
        Ok(sequences)
    }

    fn in_folder(folder: &Path) -> Result<Sequence, MediaError> {
        let files = file_names(folder)?;
        let mut sequences = Self::grouped(&files, folder)?;
        match sequences.len() {
            0 => {
                let movie = files.iter().map(|name| folder.join(name)).find(|path| movie::by_ending(path).is_some());
                movie.map_or(Ok(()), |path| refuse_movie(&path))?;
                Err(MediaError::EmptyFolder { path: folder.to_owned() })
            }
            1 => Ok(sequences.remove(0)),
            _ => {
                let names = sequences.iter().map(|s| format!("{} ({})", s.name, words(&[s.span()]))).collect();
                Err(MediaError::SeveralSequences { path: folder.to_owned(), names })
            }
        }
    }
}

/// Names of the files in a folder, sorted; hidden ones and those that are not text are left out.
fn file_names(folder: &Path) -> Result<Vec<String>, MediaError> {
    let entries = fs::read_dir(folder).map_err(|error| MediaError::reading(folder, error))?;
    let mut names = Vec::new();
    for entry in entries {
        let entry = entry.map_err(|error| MediaError::reading(folder, error))?;
        let Ok(name) = entry.file_name().into_string() else { continue };
        if !name.starts_with('.') && !entry.path().is_dir() {
            names.push(name);
        }
    }
    names.sort();
    Ok(names)
}

fn ordered<'a>(
    numbered: impl Iterator<Item = (i64, &'a String)>,
    folder: &Path,
) -> Result<Vec<(i64, PathBuf)>, MediaError> {
    let mut frames: BTreeMap<i64, PathBuf> = BTreeMap::new();
    for (number, name) in numbered {
        let path = folder.join(name);
        if let Some(first) = frames.insert(number, path.clone()) {
            return Err(MediaError::Twice { number, first, second: path });
        }
    }
    Ok(frames.into_iter().collect())
}

/// Numbers from `first` to `last` for which there is no frame.
fn gaps(frames: &[(i64, PathBuf)], first: i64, last: i64) -> Vec<RangeInclusive<i64>> {
    let mut gaps = Vec::new();
    let mut next = Some(first);
    for (number, _) in frames {
        if let Some(next) = next
            && next < *number
        {
            gaps.push(next..=number - 1);
        }
        next = number.checked_add(1);
    }
    if let Some(next) = next
        && next <= last
    {
        gaps.push(next..=last);
    }
    gaps
}

/// Ranges in words: `1003, 1007-1009`.
fn words(ranges: &[RangeInclusive<i64>]) -> String {
    let word = |range: &RangeInclusive<i64>| match (range.start(), range.end()) {
        (first, last) if first == last => first.to_string(),
        // A minus sign before the last number would read as a second dash.
        (first, last) if *first < 0 => format!("{first} to {last}"),
        (first, last) => format!("{first}-{last}"),
    };
    ranges.iter().map(word).collect::<Vec<_>>().join(", ")
}
