//! A project that is not there yet: a folder of originals, what was found in it, and what is to become of it.

use std::path::{Path, PathBuf};

use session::originals::{Folder, Found};
use session::{ENDING, Project};

use super::{Bench, Sheet};

/// A project to be made.
#[derive(Debug, Clone, PartialEq)]
pub struct NewProject {
    /// Where the originals lie.
    pub folder: PathBuf,
    /// Where the project is to lie, as typed.
    pub path: String,
    /// What was found; none while it is looked for.
    pub found: Option<Folder>,
    /// Why it is not made.
    pub fault: Option<String>,
}

/// What is asked for of a project to be made. Nothing is written before it is confirmed.
#[derive(Debug, Clone, PartialEq)]
pub enum OnOriginals {
    /// So much lies in the folder, or why it cannot be told.
    Seen(Result<Folder, String>),
    /// A shot is other than it was found.
    Change(usize, Found),
    /// A shot is left out.
    LeaveOut(usize),
    /// Where the project is to lie.
    Path(String),
    /// Make the project and open it.
    Make,
}

impl NewProject {
    /// For a folder of originals; the project lies in it by its name.
    fn of(folder: &Path) -> Self {
        let whole = session::paths::whole(folder);
        let name = whole.file_name().map_or_else(|| "project".into(), |name| name.to_string_lossy().into_owned());
        let path = whole.join(format!("{name}.{ENDING}")).display().to_string();
        Self { folder: whole, path, found: None, fault: None }
    }

    /// The shots that are to be in it.
    pub fn shots(&self) -> &[Found] {
        self.found.as_ref().map(|found| &found.shots[..]).unwrap_or_default()
    }
}

impl Bench {
    /// Looks for originals in a folder that holds no project.
    pub(super) fn look_for_originals(&mut self, folder: &Path) {
        self.originals = Some(NewProject::of(folder));
        self.sheet = Some(Sheet::NewProject);
    }

    pub(super) fn perform_on_originals(&mut self, action: OnOriginals) -> Result<(), String> {
        let Some(new) = &mut self.originals else { return Ok(()) };
        new.fault = None;
        match action {
            OnOriginals::Seen(Ok(found)) => new.found = Some(found),
            OnOriginals::Seen(Err(words)) => {
                new.found = Some(Folder::default());
                new.fault = Some(words);
            }
            OnOriginals::Change(at, shot) => {
                if let Some(place) = new.found.as_mut().and_then(|found| found.shots.get_mut(at)) {
                    *place = shot;
                }
            }
            OnOriginals::LeaveOut(at) => {
                if let Some(found) = new.found.as_mut().filter(|found| at < found.shots.len()) {
                    found.shots.remove(at);
                }
            }
            OnOriginals::Path(path) => new.path = path,
            OnOriginals::Make => {
                if let Err(words) = self.make() {
                    if let Some(new) = &mut self.originals {
                        new.fault = Some(words);
                    }
                } else {
                    self.originals = None;
                }
            }
        }
        Ok(())
    }

    fn make(&mut self) -> Result<(), String> {
        let Some(new) = &self.originals else { return Ok(()) };
        if new.shots().is_empty() {
            return Err("there is no shot to make a project of".to_string());
        }
        let mut path = PathBuf::from(new.path.trim());
        if path.extension().is_none_or(|ending| ending != ENDING) {
            path.as_mut_os_string().push(format!(".{ENDING}"));
        }
        let written = session::originals::project(new.shots(), &path)?;
        let mut project = Project::new(&path, written).map_err(|error| error.to_string())?;
        project.save().map_err(|error| error.to_string())?;
        // It is opened as any other one, once nobody holds it.
        drop(project);
        self.open(&path)
    }
}
