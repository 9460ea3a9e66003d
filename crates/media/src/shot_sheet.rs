//! The shot sheet: a table, written by people, of what each shot's original is. It comes before the files' headers.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::io;
use std::path::{Path, PathBuf};

use frame::Range;
use thiserror::Error;

use crate::{About, Sequence};

/// The columns there are, in the order in which they are named to the user.
const COLUMNS: [&str; 8] =
    ["shot", "set-up", "camera roll", "media", "encoding", "exposure index", "camera kelvin", "range"];
/// Columns without which a row says nothing.
const NEEDED: [&str; 2] = ["shot", "media"];
/// Kelvins a camera may be set to. Common practice, no source.
const KELVINS: std::ops::RangeInclusive<f64> = 1000.0..=25000.0;

/// A shot sheet.
#[derive(Debug, Clone, PartialEq)]
pub struct ShotSheet {
    /// The file.
    pub path: PathBuf,
    /// Its rows, in its order.
    pub shots: Vec<Shot>,
}

/// What a row says of a shot.
#[derive(Debug, Clone, PartialEq)]
pub struct Shot {
    /// Line of the sheet, from 1.
    pub line: usize,
    /// The shot's name; no other row has it.
    pub shot: String,
    /// The set-up it belongs to.
    pub set_up: Option<String>,
    /// The camera roll.
    pub camera_roll: Option<String>,
    /// Its frames: a pattern, a file or a folder. A relative path starts at the sheet's folder.
    pub media: PathBuf,
    /// The name of its encoding, not looked up here.
    pub encoding: Option<String>,
    /// The exposure index that the camera was set to.
    pub exposure_index: Option<u32>,
    /// The white balance that the camera was set to, in kelvin.
    pub camera_kelvin: Option<f64>,
    /// Range of its codes.
    pub range: Option<Range>,
}

/// Why a file is no shot sheet.
#[derive(Debug, Error)]
pub enum ShotSheetError {
    /// The file cannot be read.
    #[error("{}: {}", path.display(), unreadable(source))]
    Unreadable {
        /// The sheet.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// The line of column names is wrong.
    #[error("{}: line {line}: {problem}; the columns are {}", path.display(), COLUMNS.join(", "))]
    Header {
        /// The sheet.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong.
        problem: String,
    },
    /// A line that is no row.
    #[error("{}: line {line}: {problem}", path.display())]
    Line {
        /// The sheet.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// What is wrong and what would be right.
        problem: String,
    },
    /// A cell that does not hold what its column asks for.
    #[error("{}: line {line}, column '{column}': {problem}", path.display())]
    Cell {
        /// The sheet.
        path: PathBuf,
        /// The line, from 1.
        line: usize,
        /// The column.
        column: &'static str,
        /// What is wrong and what would be right.
        problem: String,
    },
}

/// What the system said of a sheet, with what to do.
fn unreadable(source: &io::Error) -> String {
    match source.kind() {
        io::ErrorKind::NotFound => "no such file; check the spelling and the folder".to_owned(),
        io::ErrorKind::InvalidData => "this is not text in UTF-8; save the sheet as CSV in UTF-8".to_owned(),
        io::ErrorKind::IsADirectory => "this is a folder; name the sheet in it".to_owned(),
        _ => format!("it cannot be read: {source}"),
    }
}

impl ShotSheet {
    /// Reads a sheet: CSV (RFC 4180) in UTF-8 whose first line names the columns, in any order; `shot` and `media`
    /// are needed, and an empty cell says nothing. A cell lies on one line.
    ///
    /// # Errors
    /// The first thing that is wrong, with its line and column.
    pub fn read(path: &Path) -> Result<ShotSheet, ShotSheetError> {
        let unreadable = |source| ShotSheetError::Unreadable { path: path.to_owned(), source };
        ShotSheet::parse(&fs::read_to_string(path).map_err(unreadable)?, path)
    }

    /// Reads a sheet's text. `path` is named in errors, and its folder is where relative media paths start.
    ///
    /// # Errors
    /// As [`ShotSheet::read`].
    pub fn parse(text: &str, path: &Path) -> Result<ShotSheet, ShotSheetError> {
        let wrong = |line, problem| ShotSheetError::Line { path: path.to_owned(), line, problem };
        let text = text.trim_start_matches('\u{feff}');
        let mut lines = (1..).zip(text.lines()).filter(|(_, line)| !line.trim().is_empty());
        let (line, names) = lines.next().ok_or_else(|| ShotSheetError::Header {
            path: path.to_owned(),
            line: 1,
            problem: "no line of column names".into(),
        })?;
        let header = |problem| ShotSheetError::Header { path: path.to_owned(), line, problem };
        let columns = columns(&cells(names).map_err(|problem| wrong(line, problem))?).map_err(header)?;
        let mut names = BTreeSet::new();
        let mut shots: Vec<Shot> = Vec::new();
        for (line, text) in lines {
            let cells = cells(text).map_err(|problem| wrong(line, problem))?;
            if cells.len() != columns.len() {
                let problem =
                    format!("{} cells, and {} columns; put cells with commas in quotes", cells.len(), columns.len());
                return Err(wrong(line, problem));
            }
            let filled = columns.iter().copied().zip(cells).filter(|(_, cell)| !cell.is_empty()).collect();
            let row = Row { sheet: path, line, cells: filled };
            let shot = row.shot()?;
            if !names.insert(shot.shot.clone()) {
                return Err(row.wrong("shot", format!("'{}' is there already; give each shot its own name", shot.shot)));
            }
            if let Some(other) = shots.iter().find(|other| other.media == shot.media && !other.says_the_same(&shot)) {
                let Shot { line, shot: name, .. } = other;
                let problem =
                    format!("line {line}, shot '{name}', says something else of the same media; make them agree");
                return Err(row.wrong("media", problem));
            }
            shots.push(shot);
        }
        if shots.is_empty() {
            return Err(wrong(line, "no row follows the line of column names; write one for each shot".into()));
        }
        Ok(ShotSheet { path: path.to_owned(), shots })
    }

    /// The shot whose media hold the first frame of a sequence.
    pub fn shot_of(&self, sequence: &Sequence) -> Option<&Shot> {
        let (_, first) = sequence.frames().first()?;
        let first = first.canonicalize().ok()?;
        self.shots.iter().find(|shot| {
            let media = Sequence::open(&shot.media);
            media.is_ok_and(|media| {
                media.frames().iter().any(|(_, path)| path.canonicalize().is_ok_and(|it| it == first))
            })
        })
    }
}

impl Shot {
    /// Whether another row says the same of its frames, whatever the shot is called.
    fn says_the_same(&self, other: &Shot) -> bool {
        let said = |shot: &Shot| {
            let texts = (shot.camera_roll.clone(), shot.encoding.clone());
            (texts, shot.exposure_index, shot.camera_kelvin, shot.range)
        };
        said(self) == said(other)
    }

    /// Puts what the row says of encoding, range and camera roll before what a file says.
    pub fn overrule(&self, about: &mut About) {
        if let Some(encoding) = &self.encoding {
            about.encoding = Some((encoding.clone(), format!("the shot sheet says so, line {}", self.line)));
        }
        about.range = self.range.or(about.range);
        if self.camera_roll.is_some() {
            about.camera_roll.clone_from(&self.camera_roll);
        }
    }
}

/// A row's filled cells by column.
struct Row<'a> {
    sheet: &'a Path,
    line: usize,
    cells: BTreeMap<&'static str, String>,
}

impl Row<'_> {
    fn wrong(&self, column: &'static str, problem: String) -> ShotSheetError {
        ShotSheetError::Cell { path: self.sheet.to_owned(), line: self.line, column, problem }
    }

    fn text(&self, column: &'static str) -> Option<String> {
        self.cells.get(column).cloned()
    }

    fn needed(&self, column: &'static str) -> Result<String, ShotSheetError> {
        self.text(column).ok_or_else(|| self.wrong(column, "it is empty; every row needs it".into()))
    }

    /// A cell read by `read`, or an error that says what is wanted.
    fn read<T>(
        &self,
        column: &'static str,
        wanted: &str,
        read: impl Fn(&str) -> Option<T>,
    ) -> Result<Option<T>, ShotSheetError> {
        let Some(text) = self.cells.get(column) else { return Ok(None) };
        read(text).map(Some).ok_or_else(|| self.wrong(column, format!("'{text}' is not {wanted}")))
    }

    fn shot(&self) -> Result<Shot, ShotSheetError> {
        let folder = self.sheet.parent().unwrap_or(Path::new(""));
        let kelvin = |text: &str| {
            let number = text.trim_end_matches(['K', 'k']).trim_end();
            number.parse().ok().filter(|kelvin| KELVINS.contains(kelvin))
        };
        Ok(Shot {
            line: self.line,
            shot: self.needed("shot")?,
            set_up: self.text("set-up"),
            camera_roll: self.text("camera roll"),
            media: folder.join(self.needed("media")?),
            encoding: self.text("encoding"),
            exposure_index: self.read("exposure index", "a whole number above 0, for instance 800", |text| {
                text.parse().ok().filter(|index| *index > 0)
            })?,
            camera_kelvin: self.read("camera kelvin", "a number of kelvin from 1000 to 25000", kelvin)?,
            range: self.read("range", "'full' or 'legal'", |text| match text.to_ascii_lowercase().as_str() {
                "full" => Some(Range::Full),
                "legal" => Some(Range::Legal),
                _ => None,
            })?,
        })
    }
}

/// The columns that a line of names means, whatever their case and whether words are joined by blank, hyphen or `_`.
fn columns(names: &[String]) -> Result<Vec<&'static str>, String> {
    let plain = |name: &str| name.to_ascii_lowercase().replace([' ', '-', '_'], "");
    let mut columns = Vec::new();
    for name in names {
        let column = COLUMNS.iter().copied().find(|column| plain(column) == plain(name));
        let column = column.ok_or_else(|| {
            let remedy = if name.contains([';', '\t']) { " by itself: save the sheet as CSV with commas" } else { "" };
            format!("'{name}' is no column{remedy}")
        })?;
        if columns.contains(&column) {
            return Err(format!("column '{column}' is there twice"));
        }
        columns.push(column);
    }
    match NEEDED.into_iter().find(|needed| !columns.contains(needed)) {
        Some(needed) => Err(format!("column '{needed}' is missing")),
        None => Ok(columns),
    }
}

/// The cells of a line, blanks around them removed. Quotes are as in RFC 4180.
fn cells(line: &str) -> Result<Vec<String>, String> {
    let mut cells = Vec::new();
    let mut rest = line;
    loop {
        let (cell, behind) = match rest.trim_start().strip_prefix('"') {
            Some(quoted) => quoted_cell(quoted)?,
            None => match rest.split_once(',') {
                Some((cell, behind)) => (cell.to_owned(), Some(behind)),
                None => (rest.to_owned(), None),
            },
        };
        cells.push(cell.trim().to_owned());
        match behind {
            Some(behind) => rest = behind,
            None => return Ok(cells),
        }
    }
}

/// A quoted cell and what follows its comma, `text` beginning behind the opening quote.
fn quoted_cell(text: &str) -> Result<(String, Option<&str>), String> {
    let mut cell = String::new();
    let mut rest = text;
    loop {
        let (part, behind) = rest.split_once('"').ok_or("a quote is not closed on its line")?;
        cell += part;
        if let Some(more) = behind.strip_prefix('"') {
            cell.push('"');
            rest = more;
            continue;
        }
        let behind = behind.trim_start();
        return match behind.strip_prefix(',') {
            Some(behind) => Ok((cell, Some(behind))),
            None if behind.is_empty() => Ok((cell, None)),
            None => Err(format!("'{behind}' follows a closing quote; a comma belongs there")),
        };
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn parse(text: &str) -> Result<ShotSheet, String> {
        ShotSheet::parse(text, Path::new("day/sheet.csv")).map_err(|error| error.to_string())
    }

    #[test]
    fn a_sheet_says_what_it_says() {
        let text = "\u{feff}Shot,Set-up,camera_roll,MEDIA,encoding,Exposure Index,camera kelvin,range\r\n\
                    deck_010,\"3, stern\",A001,\"deck \"\"a\"\".%04d.dpx\",LogC3,1600,3200K,Legal\r\n\r\n\
                    deck_020,,,b.exr,,,,\r\n";
        let sheet = parse(text).unwrap();
        assert_eq!(sheet.shots.len(), 2);
        let shot = &sheet.shots[0];
        assert_eq!((shot.line, shot.set_up.as_deref()), (2, Some("3, stern")));
        assert_eq!(shot.media, Path::new("day/deck \"a\".%04d.dpx"));
        assert_eq!((shot.exposure_index, shot.camera_kelvin), (Some(1600), Some(3200.0)));
        assert_eq!((sheet.shots[1].line, sheet.shots[1].range), (4, None));
        let mut about = About { range: Some(Range::Full), ..About::default() };
        shot.overrule(&mut about);
        assert_eq!((about.encoding_id(), about.range), (Some("LogC3"), Some(Range::Legal)));
        assert_eq!(about.camera_roll.as_deref(), Some("A001"));
        sheet.shots[1].overrule(&mut about);
        assert_eq!(
            (about.encoding_id(), about.range),
            (Some("LogC3"), Some(Range::Legal)),
            "an empty cell says nothing"
        );
    }

    #[test]
    fn two_shots_may_share_media_of_which_both_say_the_same() {
        let sheet = parse("shot,media,range\na,m.exr,full\nb,m.exr,full\n").unwrap();
        assert_eq!(sheet.shots.len(), 2);
    }

    #[test]
    fn what_is_wrong_is_named_by_line_and_column() {
        let cases: [(&str, &[&str]); 13] = [
            ("", &["line 1", "columns are shot"]),
            ("shot,lens\n", &["line 1", "'lens' is no column"]),
            ("shot;media\na;b\n", &["line 1", "CSV with commas"]),
            ("shot,media\n\n", &["line 1", "no row"]),
            ("shot,media,range\na,m,full\nb,m,legal\n", &["line 3, column 'media'", "line 2, shot 'a'", "agree"]),
            ("shot,encoding\n", &["'media' is missing"]),
            ("shot,media,Shot\n", &["'shot' is there twice"]),
            ("shot,media\na\n", &["line 2", "1 cells, and 2 columns"]),
            ("shot,media\na,b\n\na,c\n", &["line 4, column 'shot'", "already"]),
            ("shot,media\n,b\n", &["line 2, column 'shot'", "empty"]),
            ("shot,media\n\"a,b\n", &["line 2", "not closed"]),
            ("shot,media,camera kelvin\na,b,90\n", &["line 2, column 'camera kelvin'", "1000 to 25000"]),
            ("shot,media,range\na,b,wide\n", &["line 2, column 'range'", "'full' or 'legal'"]),
        ];
        for (text, words) in cases {
            let message = parse(text).unwrap_err();
            for word in words.iter().chain(&["day/sheet.csv"]) {
                assert!(message.contains(word), "no '{word}' in: {message}");
            }
        }
    }

    proptest! {
        #[test]
        fn quoted_cells_come_back(texts in prop::collection::vec("[a-z,\" ]{0,9}", 1..6)) {
            let texts: Vec<String> = texts.iter().map(|text| text.trim().to_owned()).collect();
            let line: Vec<String> = texts.iter().map(|text| format!("\"{}\"", text.replace('"', "\"\""))).collect();
            prop_assert_eq!(cells(&line.join(",")), Ok(texts));
        }

        #[test]
        fn no_text_brings_a_panic(text in "\\PC{0,60}") {
            let _ = parse(&format!("shot,media\n{text}"));
        }
    }
}
