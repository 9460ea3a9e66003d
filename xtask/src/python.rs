//! The Python environment with the reference libraries that tests compare against.

use crate::failure::Failure;
use crate::paths;
use crate::steps::{finish, program, succeeds};
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

/// The system's interpreter, which only makes the environment.
pub const SYSTEM_PYTHON: &str = if cfg!(windows) { "python" } else { "python3" };

const REQUIREMENTS: &str = "tests/reference/requirements.txt";

/// Makes the environment in `<build folder>/python`, or keeps it where it was made from the same requirements.
/// Returns its interpreter, as an absolute path.
///
/// # Errors
/// When the requirements cannot be read, or Python or its package index fails.
pub fn environment() -> Result<PathBuf, Failure> {
    let requirements = paths::root().join(REQUIREMENTS);
    let wanted = fs::read_to_string(&requirements)
        .map_err(|error| Failure::work(format!("{}: {error}", requirements.display())))?;
    let folder = paths::build_folder()?.join("python");
    let interpreter = interpreter_in(&folder);
    let stamp = folder.join("made-from.txt");
    if is_current(&stamp, &wanted) && succeeds(Command::new(&interpreter).args(["-c", "pass"])) {
        println!("{} is current", folder.display());
        return Ok(interpreter);
    }
    if folder.exists() {
        fs::remove_dir_all(&folder)
            .map_err(|error| Failure::work(format!("{} cannot be made again: {error}", folder.display())))?;
    }
    finish(program(SYSTEM_PYTHON).args(["-m", "venv"]).arg(&folder))?;
    finish(
        program(&interpreter)
            .args(["-m", "pip", "install", "--quiet", "--disable-pip-version-check", "-r"])
            .arg(&requirements),
    )?;
    // Written last: an environment that was cut short has no stamp and is made again.
    fs::write(&stamp, &wanted).map_err(|error| Failure::work(format!("{}: {error}", stamp.display())))?;
    Ok(interpreter)
}

fn is_current(stamp: &Path, wanted: &str) -> bool {
    fs::read_to_string(stamp).is_ok_and(|made_from| made_from == wanted)
}

fn interpreter_in(environment: &Path) -> PathBuf {
    environment.join(if cfg!(windows) { "Scripts/python.exe" } else { "bin/python" })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_missing_stamp_is_not_current() {
        assert!(!is_current(Path::new("no/such/stamp"), ""));
    }
}
