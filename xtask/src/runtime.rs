//! A folder that graphics drivers ask for.

use crate::failure::Failure;
use std::env;
use std::fs::{self, DirBuilder};
use std::path::PathBuf;
use std::process::{self, Command};

/// A private folder for the length of the run: graphics drivers complain without one.
pub struct RuntimeFolder {
    path: PathBuf,
}

impl RuntimeFolder {
    /// Makes the folder.
    ///
    /// # Errors
    /// Where the temporary folder takes none.
    pub fn new() -> Result<Self, Failure> {
        let path = env::temp_dir().join(format!("greywright-{}", process::id()));
        let mut builder = DirBuilder::new();
        #[cfg(unix)]
        std::os::unix::fs::DirBuilderExt::mode(&mut builder, 0o700);
        builder
            .create(&path)
            .map_err(|error| Failure::work(format!("{}: {error}; remove it or set TMPDIR", path.display())))?;
        Ok(Self { path })
    }

    /// Lets a program use it. Elsewhere than on Linux none is asked for.
    pub fn give_to(&self, command: &mut Command) {
        if cfg!(target_os = "linux") {
            command.env("XDG_RUNTIME_DIR", &self.path);
        }
    }
}

impl Drop for RuntimeFolder {
    fn drop(&mut self) {
        // Left behind at worst: the system empties its temporary folder.
        let _ = fs::remove_dir_all(&self.path);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[cfg(unix)]
    #[test]
    fn the_runtime_folder_is_private_and_goes_away() {
        use std::os::unix::fs::PermissionsExt;
        let folder = RuntimeFolder::new().unwrap();
        let path = folder.path.clone();
        assert_eq!(fs::metadata(&path).unwrap().permissions().mode() & 0o777, 0o700);
        drop(folder);
        assert!(!path.exists());
    }
}
