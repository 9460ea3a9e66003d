//! Where things are: the checkout, its build folder, the programs in it.

use crate::failure::Failure;
use std::env;
use std::path::{Path, PathBuf};

/// The checkout's root folder.
pub fn root() -> PathBuf {
    // Asked at run time first: a checkout that was moved keeps its build.
    let manifest =
        env::var_os("CARGO_MANIFEST_DIR").map_or_else(|| PathBuf::from(env!("CARGO_MANIFEST_DIR")), PathBuf::from);
    manifest.parent().map_or_else(|| manifest.clone(), Path::to_path_buf)
}

/// The build folder, wherever the settings of cargo put it: this program lies in `<build folder>/<profile>/`.
///
/// # Errors
/// When the system does not say where this program lies.
pub fn build_folder() -> Result<PathBuf, Failure> {
    let own = env::current_exe().map_err(|error| Failure::work(format!("this program cannot find itself: {error}")))?;
    own.parent()
        .and_then(Path::parent)
        .map(Path::to_path_buf)
        .ok_or_else(|| Failure::work(format!("{} lies in no build folder; start it by `cargo xtask`", own.display())))
}

/// The built `greywright` of a profile's folder (`debug` or `release`).
///
/// # Errors
/// As [`build_folder`].
pub fn greywright(profile_folder: &str) -> Result<PathBuf, Failure> {
    let name = format!("greywright{}", env::consts::EXE_SUFFIX);
    Ok(build_folder()?.join(profile_folder).join(name))
}

/// Whether a program of this name is found on the search path.
pub fn is_on_path(program: &str) -> bool {
    let name = format!("{program}{}", env::consts::EXE_SUFFIX);
    env::var_os("PATH").is_some_and(|path| env::split_paths(&path).any(|folder| folder.join(&name).is_file()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn root_holds_the_workspace() {
        assert!(root().join("Cargo.toml").is_file());
        assert!(root().join("xtask/src/paths.rs").is_file());
    }

    #[test]
    fn an_absent_program_is_not_on_the_path() {
        assert!(!is_on_path("no-program-has-this-name"));
    }
}
