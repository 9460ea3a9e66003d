//! Projects come and go: opened, kept while they are worked on, closed.

use std::path::{Path, PathBuf};

use session::aside::Aside;
use session::{ENDING, Project};

use super::standing::Standing;
use super::{Bench, Message, Sheet};

impl Bench {
    /// Remembers what was open and how it stood in a folder of the user's own.
    pub fn remember_in(&mut self, aside: Option<Aside>) {
        self.aside = aside;
        self.stand_as_before();
    }

    /// The projects that were open, the last one first.
    pub fn recent(&self) -> Vec<PathBuf> {
        self.aside.as_ref().map(Aside::recent).unwrap_or_default()
    }

    /// Lets the window stand as it stood when this project was closed, and asks what is to become of work that was left.
    pub(super) fn stand_as_before(&mut self) {
        let Some(project) = &self.project else { return };
        let recovered = project.recovered().is_some();
        let words = project.read_only().map(|why| format!("open for reading alone, {why}"));
        let notes = words.into_iter().chain(project.notes().iter().cloned()).collect::<Vec<_>>();
        if let Some(aside) = &self.aside {
            let path = project.path().to_owned();
            // A list that cannot be kept is no reason to keep anybody from work.
            let _ = aside.opened(&path);
            let standing = aside.standing(&path).and_then(|text| toml::from_str::<Standing>(&text).ok());
            if let Some(standing) = standing {
                standing.lay(self);
            }
        }
        if !notes.is_empty() {
            self.message = Some(Message { words: notes.join("; "), wrong: false });
        }
        self.sheet = recovered.then_some(Sheet::Recovery);
    }

    /// Opens a project file, or the one in a folder. What is unsaved in the project before is kept beside that one.
    pub(super) fn open(&mut self, path: &Path) -> Result<(), String> {
        let Some(path) = project_at(path)? else {
            self.look_for_originals(path);
            return Ok(());
        };
        let same = |own: &Project| {
            let real = |path: &Path| std::fs::canonicalize(path).ok();
            real(own.path()).is_some_and(|own| real(&path) == Some(own))
        };
        if self.project.as_ref().is_some_and(same) {
            self.sheet = None;
            self.say("it is open already");
            return Ok(());
        }
        self.keep()?;
        let project = Project::open(&path).map_err(|error| error.to_string())?;
        self.take(project);
        Ok(())
    }

    /// Whether something was done since it was kept last.
    pub fn is_to_be_kept(&self) -> bool {
        self.project.is_some() && self.kept != self.revision
    }

    /// Keeps unsaved work beside the project, and how the window stands in the user's folder.
    ///
    /// # Errors
    /// In words: it cannot be written. The project's file is as it was.
    pub fn keep(&mut self) -> Result<(), String> {
        // One try for each state: what cannot be written now is said once, and tried again with the next change.
        self.kept = self.revision;
        let standing = toml::to_string(&Standing::of(self));
        let Some(project) = &mut self.project else { return Ok(()) };
        if let (Some(aside), Ok(text)) = (&self.aside, standing) {
            // How a window stood is no work.
            let _ = aside.keep_standing(project.path(), &text);
        }
        if project.read_only().is_some() {
            return Ok(());
        }
        project.autosave().map_err(|error| format!("what is unsaved could not be kept: {error}"))
    }

    /// As [`Bench::keep`]; what goes wrong is said.
    pub fn keep_aside(&mut self) {
        if let Err(words) = self.keep() {
            self.message = Some(Message { words, wrong: true });
        }
    }

    /// Whether there is work that could be saved and is not.
    pub fn is_unsaved(&self) -> bool {
        self.project.as_ref().is_some_and(|project| project.is_changed() && project.read_only().is_none())
    }

    /// Closes the window, or asks first where there is unsaved work or a render runs.
    pub(super) fn close(&mut self) {
        match (self.is_unsaved() || self.renders.is_working(), &self.sheet) {
            // Work that was left and not decided about stays where it is.
            (_, Some(Sheet::Recovery)) | (false, _) => self.closing = true,
            (true, _) => self.sheet = Some(Sheet::Leaving),
        }
    }

    /// Goes many steps back or forth at once.
    pub(super) fn walk(&mut self, count: isize) -> Result<(), String> {
        self.tried = None;
        let project = self.project_mut()?;
        for _ in 0..count.unsigned_abs() {
            let turned = if count < 0 { project.step_back() } else { project.step_forth() };
            turned.map_err(|error| error.to_string())?;
        }
        self.settle();
        Ok(())
    }
}

/// The project that a path means: the file itself, or the only one in a folder; none where a folder holds none.
///
/// # Errors
/// In words, what to name instead.
fn project_at(path: &Path) -> Result<Option<PathBuf>, String> {
    if !path.is_dir() {
        return Ok(Some(path.to_owned()));
    }
    let entries = std::fs::read_dir(path).map_err(|error| format!("{}: {error}", path.display()))?;
    let is_project = |path: &PathBuf| path.is_file() && path.extension().is_some_and(|ending| ending == ENDING);
    let mut projects: Vec<PathBuf> = entries.flatten().map(|entry| entry.path()).filter(is_project).collect();
    projects.sort();
    match &projects[..] {
        [one] => Ok(Some(one.clone())),
        [] => Ok(None),
        several => {
            let names: Vec<_> = several.iter().filter_map(|path| path.file_name()?.to_str()).collect();
            Err(format!("{}: name one of its projects: {}", path.display(), names.join(", ")))
        }
    }
}
