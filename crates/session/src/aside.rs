//! What is kept for a user beside the projects: which were open last, and how their windows stood. None of it is work:
//! where it cannot be read or written, a project opens as for the first time.

use std::fs;
use std::path::{Path, PathBuf};

use xxhash_rust::xxh3::xxh3_64;

use crate::paths;
use crate::store::{self, StoreError};

/// How many projects are remembered.
const MOST: usize = 12;

/// The folder of a user's own.
#[derive(Debug, Clone)]
pub struct Aside {
    folder: PathBuf,
}

impl Aside {
    /// The user's; none where the system names no folder for it.
    ///
    /// # Source
    /// XDG Base Directory Specification, `XDG_STATE_HOME`; elsewhere the system's own variables.
    pub fn of_user() -> Option<Self> {
        user_folder("XDG_STATE_HOME", ".local/state").map(Self::at)
    }

    /// In a folder; it is made when something is kept.
    pub fn at(folder: PathBuf) -> Self {
        Self { folder }
    }

    fn list(&self) -> PathBuf {
        self.folder.join("recent-projects")
    }

    fn standing_file(&self, project: &Path) -> PathBuf {
        let name = format!("{:016x}.toml", xxh3_64(whole(project).to_string_lossy().as_bytes()));
        self.folder.join("windows").join(name)
    }

    /// The projects that were open, the last one first, those alone that are there.
    pub fn recent(&self) -> Vec<PathBuf> {
        let text = fs::read_to_string(self.list()).unwrap_or_default();
        text.lines().map(PathBuf::from).filter(|path| path.is_file()).collect()
    }

    /// Remembers that a project was opened.
    ///
    /// # Errors
    /// The folder takes no files.
    pub fn opened(&self, project: &Path) -> Result<(), StoreError> {
        let project = whole(project);
        let mut all = vec![project.clone()];
        all.extend(self.recent().into_iter().filter(|other| *other != project));
        let lines: String = all.iter().take(MOST).map(|path| format!("{}\n", path.display())).collect();
        self.put(&self.list(), &lines)
    }

    /// How a project's window stood.
    pub fn standing(&self, project: &Path) -> Option<String> {
        fs::read_to_string(self.standing_file(project)).ok()
    }

    /// Keeps how a project's window stands.
    ///
    /// # Errors
    /// The folder takes no files.
    pub fn keep_standing(&self, project: &Path, text: &str) -> Result<(), StoreError> {
        self.put(&self.standing_file(project), text)
    }

    fn put(&self, path: &Path, text: &str) -> Result<(), StoreError> {
        // What cannot be made cannot be written to either, and that error names the folder.
        let _ = fs::create_dir_all(store::folder_of(path));
        store::store(path, text)
    }
}

/// The folder for what the program writes by itself, as the demo; none where the system names none.
///
/// # Source
/// XDG Base Directory Specification, `XDG_DATA_HOME`; elsewhere the system's own variables.
pub fn data_folder() -> Option<PathBuf> {
    user_folder("XDG_DATA_HOME", ".local/share")
}

fn whole(path: &Path) -> PathBuf {
    fs::canonicalize(path).unwrap_or_else(|_| paths::whole(path))
}

fn user_folder(variable: &str, below_home: &str) -> Option<PathBuf> {
    let named = |name: &str| std::env::var_os(name).map(PathBuf::from).filter(|path| path.is_absolute());
    let own = named(variable).or_else(|| if cfg!(windows) { named("LOCALAPPDATA") } else { None });
    let below = if cfg!(target_os = "macos") { "Library/Application Support" } else { below_home };
    let base = own.or_else(|| named("HOME").map(|home| home.join(below)))?;
    Some(base.join("greywright"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_last_project_comes_first_and_lost_ones_are_left_out() {
        let folder = tempfile::tempdir().unwrap();
        let aside = Aside::at(folder.path().join("state"));
        assert!(aside.recent().is_empty());
        let project = |name: &str| {
            let path = folder.path().join(name);
            fs::write(&path, "").unwrap();
            whole(&path)
        };
        let (a, b) = (project("a.greywright"), project("b c.greywright"));
        for path in [&a, &b, &a] {
            aside.opened(path).unwrap();
        }
        assert_eq!(aside.recent(), [a.clone(), b.clone()]);
        fs::remove_file(&a).unwrap();
        assert_eq!(aside.recent(), [b]);
    }

    #[test]
    fn windows_are_kept_by_project() {
        let folder = tempfile::tempdir().unwrap();
        let aside = Aside::at(folder.path().to_owned());
        let (a, b) = (Path::new("/shows/a.greywright"), Path::new("/shows/b.greywright"));
        aside.keep_standing(a, "frame = 7\n").unwrap();
        assert_eq!(aside.standing(a).as_deref(), Some("frame = 7\n"));
        assert_eq!(aside.standing(b), None);
    }
}
