//! The record beside rendered frames: what each file was made of, with what, and what it holds.
//!
//! Every line states a fact that stays true whatever happens later, so that lines need no order, may stand twice, and are
//! gathered from all records in a folder. A line that a kill cut has no end and states nothing. Each process writes a
//! record of its own: one a machine, since locks may not reach further, and one more where that is in use.

use std::collections::BTreeMap;
use std::fs::{self, File, OpenOptions};
use std::io::{self, Read as _, Seek as _, SeekFrom, Write as _};
use std::path::{Path, PathBuf};
use std::sync::{Mutex, PoisonError};

use media::OutputPattern;

use super::content::Content;

const BEFORE: &str = "rendered-";
const AFTER: &str = ".tsv";
const HEAD: &str = "\
# What greywright render made in this folder, for --resume: a line for each file that was finished.
# Hashes are XXH3 of 128 bits. Without this file nothing is lost, and --resume makes everything anew.
# made with\tof the original\tholds\tfile
";
/// More processes than this do not write into one folder from one machine.
const MOST_RECORDS: usize = 1000;

/// A fact: a file of this content was made of an original, with settings.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Fact {
    /// What the chain and the settings of the output meant for this frame.
    pub made_with: Content,
    /// What the original's file held.
    pub original: Content,
    /// What the file held when it was whole.
    pub holds: Content,
}

/// The facts of a folder by the name of the file.
pub type Facts = BTreeMap<String, Vec<Fact>>;

/// A record that is written.
pub struct Record {
    folder: PathBuf,
    state: Mutex<State>,
}

enum State {
    /// Nothing has been stated.
    New,
    Open(File),
    /// It cannot be written.
    Failed,
}

impl Record {
    /// The record of frames that go there; none for a lone file, which is there whole or not at all. Nothing is written
    /// before the first frame is.
    pub fn of(out: &OutputPattern) -> Option<Self> {
        (!out.is_lone()).then(|| Self { folder: out.folder().to_owned(), state: Mutex::new(State::New) })
    }

    /// States a fact of a file that is now under its name.
    ///
    /// # Errors
    /// The folder takes no record, or the disk is full: once, and then nothing more is stated.
    pub fn state(&self, path: &Path, fact: Fact) -> io::Result<()> {
        let Some(name) = path.file_name().and_then(|name| name.to_str()).filter(|name| is_plain(name)) else {
            return Ok(());
        };
        let mut state = self.state.lock().unwrap_or_else(PoisonError::into_inner);
        let Fact { made_with, original, holds } = fact;
        // In one piece, which a kill either lets through or not.
        let line = format!("{made_with}\t{original}\t{holds}\t{name}\n");
        let stated = match &mut *state {
            State::Failed => return Ok(()),
            State::Open(file) => file.write_all(line.as_bytes()),
            State::New => open(&self.folder).and_then(|mut file| {
                let written = file.write_all(line.as_bytes());
                *state = State::Open(file);
                written
            }),
        };
        if stated.is_err() {
            *state = State::Failed;
        }
        stated
    }
}

impl Drop for Record {
    fn drop(&mut self) {
        // The system keeps lines when the process is killed. When the machine fails, frames without a line are made anew.
        if let State::Open(file) = self.state.get_mut().unwrap_or_else(PoisonError::into_inner) {
            let _ = file.sync_data();
        }
    }
}

/// Whether a name can stand in a line.
fn is_plain(name: &str) -> bool {
    !name.contains(char::is_control)
}

/// Opens a record that no living process writes, and ends a line that was cut.
fn open(folder: &Path) -> io::Result<File> {
    for number in 1..MOST_RECORDS {
        let and = if number == 1 { String::new() } else { format!("-{number}") };
        let path = folder.join(format!("{BEFORE}{}{and}{AFTER}", media::machine()));
        let mut file = OpenOptions::new().read(true).append(true).create(true).open(path)?;
        if matches!(file.try_lock(), Err(fs::TryLockError::WouldBlock)) {
            continue;
        }
        let length = file.seek(SeekFrom::End(0))?;
        if length == 0 {
            file.write_all(HEAD.as_bytes())?;
        } else {
            let mut last = [0];
            file.seek(SeekFrom::Start(length - 1))?;
            file.read_exact(&mut last)?;
            if last != *b"\n" {
                file.write_all(b"\n")?;
            }
        }
        return Ok(file);
    }
    Err(io::ErrorKind::ResourceBusy.into())
}

/// All that the records in a folder state. What cannot be read states nothing.
pub fn facts(folder: &Path) -> Facts {
    let mut facts = Facts::new();
    let Ok(entries) = fs::read_dir(folder) else { return facts };
    for entry in entries.flatten() {
        let is_record =
            entry.file_name().to_str().is_some_and(|name| name.starts_with(BEFORE) && name.ends_with(AFTER));
        let Ok(bytes) = fs::read(entry.path()) else { continue };
        if is_record {
            for (name, fact) in String::from_utf8_lossy(&bytes).split_inclusive('\n').filter_map(line) {
                facts.entry(name.to_string()).or_default().push(fact);
            }
        }
    }
    for of_one in facts.values_mut() {
        of_one.sort();
        of_one.dedup();
    }
    facts
}

/// What a whole line states.
fn line(text: &str) -> Option<(&str, Fact)> {
    let mut cells = text.strip_suffix('\n')?.splitn(4, '\t');
    let mut content = || cells.next()?.parse().ok();
    let fact = Fact { made_with: content()?, original: content()?, holds: content()? };
    cells.next().map(|name| (name, fact))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fact(number: u8) -> Fact {
        let of = |what: u8| Content::of_pieces(&[&[number, what]]);
        Fact { made_with: of(0), original: of(1), holds: of(2) }
    }

    fn names(folder: &Path) -> Vec<String> {
        let entries = fs::read_dir(folder).unwrap().map(|entry| entry.unwrap().file_name().into_string().unwrap());
        let mut names: Vec<_> = entries.collect();
        names.sort();
        names
    }

    #[test]
    fn every_process_writes_its_own_and_all_are_read() {
        let folder = tempfile::tempdir().unwrap();
        let out = OutputPattern::parse(&folder.path().join("a.%04d.dpx")).unwrap();
        let [first, second] = [(); 2].map(|()| Record::of(&out).unwrap());
        assert_eq!(names(folder.path()), [""; 0], "nothing before a frame is there");
        first.state(&out.path_for(1), fact(1)).unwrap();
        second.state(&out.path_for(2), fact(2)).unwrap();
        first.state(&out.path_for(2), fact(3)).unwrap();
        first.state(&out.path_for(2), fact(3)).unwrap();
        assert_eq!(names(folder.path()).len(), 2);
        let facts = facts(folder.path());
        assert_eq!(facts["a.0001.dpx"], [fact(1)]);
        let mut both = vec![fact(2), fact(3)];
        both.sort();
        assert_eq!(facts["a.0002.dpx"], both);
        drop(first);
        Record::of(&out).unwrap().state(&out.path_for(3), fact(4)).unwrap();
        assert_eq!(names(folder.path()).len(), 2, "a record that nobody writes any more is taken up");
        assert!(Record::of(&OutputPattern::parse(&folder.path().join("lone.dpx")).unwrap()).is_none());
    }

    /// Cut anywhere, a record states what its whole lines do, and what is written after that is read.
    #[test]
    fn a_line_that_was_cut_states_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let out = OutputPattern::parse(&folder.path().join("a.%04d.dpx")).unwrap();
        let state = |number: u8| {
            Record::of(&out).unwrap().state(&out.path_for(number.into()), fact(number)).unwrap();
        };
        (1..=2).for_each(state);
        let path = folder.path().join(&names(folder.path())[0]);
        let whole = fs::read(&path).unwrap();
        let (head, first) = (HEAD.len(), whole.len() - (whole.len() - HEAD.len()) / 2);
        for cut in 0..whole.len() {
            fs::write(&path, &whole[..cut]).unwrap();
            let stated: Vec<_> = facts(folder.path()).into_keys().collect();
            let wanted = if cut < first { &[][..] } else { &["a.0001.dpx"] };
            assert_eq!(stated, wanted, "cut at {cut}, the head ends at {head}");
            if cut % 7 == 0 {
                state(3);
                assert_eq!(facts(folder.path())["a.0003.dpx"], [fact(3)], "cut at {cut}");
            }
        }
    }
}
