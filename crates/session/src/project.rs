//! A project that is open: its document, its steps back, its file.

use std::fs;
use std::path::{Path, PathBuf};
use std::time::UNIX_EPOCH;

use graph::{Document, Edit, EditError};

use crate::file::{self, FileError, Written};
use crate::lock::{Asked, Lock, utc};
use crate::steps::Steps;
use crate::store::{self, StoreError, beside};
use crate::{name_of, paths};

/// The ending of a project file's name.
pub const ENDING: &str = "greywright";

/// Why a project could not be opened, changed or saved.
#[derive(Debug, thiserror::Error)]
pub enum ProjectError {
    /// The file cannot be read.
    #[error("{}: {reason}", path.display())]
    Unreadable {
        /// The file.
        path: PathBuf,
        /// Why, and what to do.
        reason: String,
    },
    /// Something in it cannot be meant.
    #[error(transparent)]
    File(#[from] FileError),
    /// It is open for reading alone.
    #[error("{}: it is open for reading alone, {why}", path.display())]
    ReadOnly {
        /// The file.
        path: PathBuf,
        /// Why, in words.
        why: String,
    },
    /// An edit was refused.
    #[error(transparent)]
    Edit(#[from] EditError),
    /// The file was changed by something else since it was read.
    #[error(
        "{}: something else changed the file since it was read, and nothing was saved; save under another name, or open \
         it again",
        path.display()
    )]
    ChangedMeanwhile {
        /// The file.
        path: PathBuf,
    },
    /// A new project would replace a file.
    #[error("{}: there is a file of this name; choose another name or take it away", path.display())]
    Exists {
        /// The file.
        path: PathBuf,
    },
    /// It could not be written.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// Work that a process left unsaved when it died: newer than the project file as it is now.
#[derive(Debug, Clone, PartialEq)]
pub struct Recovered {
    /// What the file would hold.
    pub written: Written,
    /// When it was kept, in words.
    pub kept: String,
    /// When the project file was last saved, in words.
    pub saved: String,
}

/// An open project.
#[derive(Debug)]
pub struct Project {
    /// As it was named, for messages.
    path: PathBuf,
    /// Where it lies, links followed: locks and what is kept for recovery stand beside that one.
    real: PathBuf,
    written: Written,
    steps: Steps,
    /// The file's text as it is on disk, and what it says; none while it has never been saved.
    on_disk: Option<(String, Written)>,
    /// The text that was kept last beside the file, to be taken up after a fault.
    kept: Option<String>,
    right: Right,
    recovered: Option<Recovered>,
    notes: Vec<String>,
}

#[derive(Debug)]
enum Right {
    Write { _lock: Lock },
    Read { why: String },
}

impl Right {
    fn ask(real: &Path) -> Self {
        match Lock::ask(real) {
            Asked::Given(lock) => Self::Write { _lock: lock },
            Asked::Held(holder) => Self::Read { why: format!("because {holder}, has it open; end that one first") },
            Asked::Refused(why) => Self::Read {
                why: format!("because no lock can be had beside it ({why}); copy it elsewhere to work on it"),
            },
        }
    }
}

/// Reads a project file without asking for the right to write it. Files are replaced whole, so that it is one state of
/// the project whoever writes it meanwhile.
///
/// # Errors
/// It cannot be read, or not be meant.
pub fn read(path: &Path) -> Result<Written, ProjectError> {
    read_with_notes(path).map(|(written, _)| written)
}

/// As [`read`], with the notes of [`file::read_with_notes`].
///
/// # Errors
/// As [`read`].
pub fn read_with_notes(path: &Path) -> Result<(Written, Vec<String>), ProjectError> {
    Ok(file::read_with_notes(&text_of(path)?, path)?)
}

/// The folder that a project's relative paths start from: the one that it lies in, links followed.
pub fn folder_of(path: &Path) -> PathBuf {
    store::folder_of(&real(path))
}

fn real(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| path.to_owned())
}

fn text_of(path: &Path) -> Result<String, ProjectError> {
    fs::read_to_string(path).map_err(|error| {
        let reason = match error.kind() {
            std::io::ErrorKind::NotFound => "no such project; check the spelling and the folder".to_string(),
            std::io::ErrorKind::IsADirectory => "this is a folder; name the project file in it".to_string(),
            std::io::ErrorKind::InvalidData => "this is not text; name a project file".to_string(),
            _ => format!("it cannot be read: {error}"),
        };
        ProjectError::Unreadable { path: path.to_owned(), reason }
    })
}

impl Project {
    /// Opens a project to work on it. Where another process has it open, or the folder takes no files, it opens for
    /// reading alone; [`Project::read_only`] says why.
    ///
    /// # Errors
    /// It cannot be read, or not be meant.
    pub fn open(path: &Path) -> Result<Self, ProjectError> {
        // Nothing is left beside a file that is not there.
        text_of(path)?;
        let real = real(path);
        let right = Right::ask(&real);
        // Read once the right is had: before that, somebody else may have been saving.
        let text = text_of(path)?;
        let (written, notes) = file::read_with_notes(&text, path)?;
        let mut project = Self {
            path: path.to_owned(),
            real,
            on_disk: Some((text, written.clone())),
            written,
            steps: Steps::default(),
            kept: None,
            right,
            recovered: None,
            notes,
        };
        project.look_around();
        Ok(project)
    }

    /// A new project at a path where no file is; nothing is written before it is saved.
    ///
    /// # Errors
    /// There is a file of this name.
    pub fn new(path: &Path, written: Written) -> Result<Self, ProjectError> {
        if path.exists() {
            return Err(ProjectError::Exists { path: path.to_owned() });
        }
        Ok(Self {
            path: path.to_owned(),
            real: real(path),
            written,
            steps: Steps::default(),
            on_disk: None,
            kept: None,
            right: Right::ask(&real(path)),
            recovered: None,
            notes: Vec::new(),
        })
    }

    /// What a process that died left, and what saving will not keep.
    fn look_around(&mut self) {
        let text = self.on_disk.as_ref().map_or("", |(text, _)| text);
        if text.trim_start().starts_with('{') {
            self.notes.push("this is a document of an older program, in JSON; saving writes it as TOML".to_string());
        }
        let comment = text.lines().any(|line| line.trim_start().starts_with('#'));
        if comment && self.text() != text {
            self.notes
                .push("comments in the file are not kept when it is saved; a note of a shot or set-up is".to_string());
        }
        if self.read_only().is_some() {
            return;
        }
        let autosave = self.autosave_path();
        store::sweep(&self.real);
        store::sweep(&autosave);
        let Ok(kept) = fs::read_to_string(&autosave) else { return };
        match file::read(&kept, &autosave) {
            Ok(written) if written == self.written => {
                // It was saved, and the process died before it could tidy up.
                let _ = store::discard(&autosave);
            }
            Ok(written) => {
                self.recovered = Some(Recovered { written, kept: time_of(&autosave), saved: time_of(&self.path) });
            }
            Err(error) => self.notes.push(format!("unsaved work lies beside the project and cannot be read: {error}")),
        }
    }

    /// Where the project lies.
    pub fn path(&self) -> &Path {
        &self.path
    }

    /// The folder that relative paths start from.
    pub fn folder(&self) -> PathBuf {
        store::folder_of(&self.real)
    }

    /// Kit, candidates, numbers, set-ups and shots.
    pub fn document(&self) -> &Document {
        &self.written.document
    }

    /// All that the file holds.
    pub fn written(&self) -> &Written {
        &self.written
    }

    /// The text of the file as it would be saved now.
    pub fn text(&self) -> String {
        file::write(&self.written)
    }

    /// Things to tell the user at opening.
    pub fn notes(&self) -> &[String] {
        &self.notes
    }

    /// Why it can only be read; none where it can be written.
    pub fn read_only(&self) -> Option<&str> {
        match &self.right {
            Right::Write { .. } => None,
            Right::Read { why } => Some(why),
        }
    }

    /// Whether there is something to save.
    pub fn is_changed(&self) -> bool {
        self.on_disk.as_ref().map(|(_, written)| written) != Some(&self.written)
    }

    fn may_write(&self) -> Result<(), ProjectError> {
        match &self.right {
            Right::Write { .. } => Ok(()),
            Right::Read { why } => Err(ProjectError::ReadOnly { path: self.path.clone(), why: why.clone() }),
        }
    }

    /// Applies an edit. It is then a step that can be taken back.
    ///
    /// # Errors
    /// The edit is refused, or the project is open for reading alone; nothing has changed.
    pub fn apply(&mut self, edit: &Edit) -> Result<(), ProjectError> {
        self.may_write()?;
        Ok(self.steps.apply(&mut self.written.document, edit, name_of(edit))?)
    }

    /// Takes the last change back and gives its name; none where there is none.
    ///
    /// # Errors
    /// None that a project of this session's own causes.
    pub fn step_back(&mut self) -> Result<Option<String>, ProjectError> {
        Ok(self.steps.back(&mut self.written.document)?)
    }

    /// Brings again what was taken back last, and gives its name.
    ///
    /// # Errors
    /// As [`Project::step_back`].
    pub fn step_forth(&mut self) -> Result<Option<String>, ProjectError> {
        Ok(self.steps.forth(&mut self.written.document)?)
    }

    /// The changes that can be taken back and brought again.
    pub fn steps(&self) -> &Steps {
        &self.steps
    }

    /// Saves the project, whole or not at all, and takes what was kept for recovery away.
    ///
    /// # Errors
    /// It is open for reading alone, the file was changed by something else meanwhile, or it cannot be written. What
    /// is on disk is then as it was.
    pub fn save(&mut self) -> Result<(), ProjectError> {
        self.may_write()?;
        match (&self.on_disk, fs::read(&self.path)) {
            (Some((known, _)), Ok(there)) if known.as_bytes() != there => {
                return Err(ProjectError::ChangedMeanwhile { path: self.path.clone() });
            }
            (None, Ok(_)) => return Err(ProjectError::Exists { path: self.path.clone() }),
            _ => {}
        }
        let text = self.text();
        store::store(&self.real, &text)?;
        self.on_disk = Some((text, self.written.clone()));
        // Work of a dead process that nobody has decided about is not taken away by saving.
        if self.recovered.is_none() {
            store::discard(&self.autosave_path())?;
            self.kept = None;
        }
        Ok(())
    }

    /// Keeps what is unsaved in a hidden file beside the project, so that a fault costs nothing. Does nothing where
    /// nothing changed since, or where other work waits there to be taken up. A project that has never been saved is
    /// saved: beside no file nobody would look.
    ///
    /// # Errors
    /// It cannot be written; the project file is not touched.
    pub fn autosave(&mut self) -> Result<(), ProjectError> {
        self.may_write()?;
        if self.on_disk.is_none() {
            return self.save();
        }
        let text = self.text();
        if self.recovered.is_some() || self.kept.as_ref() == Some(&text) {
            return Ok(());
        }
        if !self.is_changed() {
            store::discard(&self.autosave_path())?;
        } else {
            store::store(&self.autosave_path(), &text)?;
        }
        self.kept = Some(text);
        Ok(())
    }

    fn autosave_path(&self) -> PathBuf {
        beside(&self.real, "autosave")
    }

    /// Work that a process left unsaved, to be taken up or discarded.
    pub fn recovered(&self) -> Option<&Recovered> {
        self.recovered.as_ref()
    }

    /// Takes up the work that was left. It is in the file only once it is saved.
    pub fn take_up(&mut self) {
        if let Some(recovered) = self.recovered.take() {
            self.written = recovered.written;
            self.steps = Steps::default();
            self.kept = Some(self.text());
        }
    }

    /// Leaves the work that was left, for good.
    ///
    /// # Errors
    /// It cannot be taken away.
    pub fn leave(&mut self) -> Result<(), ProjectError> {
        if self.recovered.is_some() {
            store::discard(&self.autosave_path())?;
            self.recovered = None;
        }
        Ok(())
    }

    /// Adds an encoding file, unless it is there. This is no step that can be taken back.
    ///
    /// # Errors
    /// The project is open for reading alone.
    pub fn add_encoding_file(&mut self, path: &Path) -> Result<(), ProjectError> {
        self.may_write()?;
        let text = paths::written(&paths::whole(path), &paths::whole(&self.folder()));
        if !self.written.encoding_files.contains(&text) {
            self.written.encoding_files.push(text);
        }
        Ok(())
    }

    /// Encoding files as paths.
    pub fn encoding_files(&self) -> Vec<PathBuf> {
        self.written.encoding_files.iter().map(|text| paths::meant(text, &self.folder())).collect()
    }
}

/// When a file was last written, in words.
fn time_of(path: &Path) -> String {
    let time = fs::metadata(path).and_then(|data| data.modified()).ok();
    let seconds = time.and_then(|time| time.duration_since(UNIX_EPOCH).ok());
    seconds.map_or_else(|| "at an unknown time".to_string(), |since| utc(since.as_secs()))
}
