//! Where the targets put their files.

use std::path::Path;

/// A new folder, in memory where the system has such a place: thousands are made a second.
pub fn folder() -> tempfile::TempDir {
    let memory = Path::new("/dev/shm");
    let made = if memory.is_dir() { tempfile::tempdir_in(memory) } else { tempfile::tempdir() };
    made.expect("a folder can be made")
}
