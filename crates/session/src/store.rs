//! Putting a text on disk whole or not at all.

use std::fs::{self, File};
use std::io::{self, Write as _};
use std::path::{Path, PathBuf};

use tempfile::Builder;

/// Why a file could not be written. What was there before is there still.
#[derive(Debug, thiserror::Error)]
pub enum StoreError {
    /// No room.
    #[error("{}: the disk is full; free some space and save again; the file is as it was", path.display())]
    Full {
        /// The file.
        path: PathBuf,
    },
    /// The folder takes no files.
    #[error(
        "{}: cannot write into this folder ({source}); choose another or change its permissions",
        folder_of(path).display()
    )]
    Folder {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// Anything else.
    #[error("{}: it was not saved ({source}); the file is as it was", path.display())]
    Other {
        /// The file.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
}

impl StoreError {
    fn new(path: &Path, source: io::Error) -> Self {
        let path = path.to_owned();
        match source.kind() {
            io::ErrorKind::StorageFull | io::ErrorKind::QuotaExceeded | io::ErrorKind::WriteZero => Self::Full { path },
            io::ErrorKind::PermissionDenied
            | io::ErrorKind::ReadOnlyFilesystem
            | io::ErrorKind::NotFound
            | io::ErrorKind::NotADirectory => Self::Folder { path, source },
            _ => Self::Other { path, source },
        }
    }
}

/// The folder that a file lies in.
pub(crate) fn folder_of(path: &Path) -> PathBuf {
    match path.parent() {
        Some(folder) if folder != Path::new("") => folder.to_owned(),
        _ => PathBuf::from("."),
    }
}

/// A hidden file beside another one, told by an ending.
pub(crate) fn beside(path: &Path, ending: &str) -> PathBuf {
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    path.with_file_name(format!(".{name}.{ending}"))
}

/// Writes `text` to `path`: to a hidden `.part` file in the same folder, which is put on disk and then renamed, and
/// the new name is put on disk too. Whoever looks, at any time, finds the old file or the whole new one.
///
/// # Errors
/// A full disk, a folder that takes no files, whatever else the system says. The file is then as it was.
pub(crate) fn store(path: &Path, text: &str) -> Result<(), StoreError> {
    let failed = |error| StoreError::new(path, error);
    let folder = folder_of(path);
    let before = part_of(path);
    let mut builder = Builder::new();
    builder.prefix(&before).suffix(".part");
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt as _;
        // What the file had, else what any new file gets; the crate's own choice would keep it from everybody else.
        let mode = fs::metadata(path).map_or(0o666, |data| data.permissions().mode() & 0o777);
        builder.permissions(fs::Permissions::from_mode(mode));
    }
    let mut part = builder.tempfile_in(&folder).map_err(failed)?;
    part.write_all(text.as_bytes()).map_err(failed)?;
    part.as_file().sync_all().map_err(failed)?;
    part.persist(path).map_err(|failure| failed(failure.error))?;
    sync_folder(&folder);
    Ok(())
}

/// Puts a folder's names on disk. Some file systems know no such thing; the file is whole all the same.
fn sync_folder(folder: &Path) {
    #[cfg(unix)]
    if let Ok(folder) = File::open(folder) {
        let _ = folder.sync_all();
    }
    #[cfg(not(unix))]
    let _ = folder;
}

/// Takes a file away that may not be there.
pub(crate) fn discard(path: &Path) -> Result<(), StoreError> {
    match fs::remove_file(path) {
        Err(error) if error.kind() != io::ErrorKind::NotFound => Err(StoreError::new(path, error)),
        _ => {
            sync_folder(&folder_of(path));
            Ok(())
        }
    }
}

/// How the hidden files begin that are to become this one.
fn part_of(path: &Path) -> String {
    format!(".greywright-project-{}-", path.file_name().unwrap_or_default().to_string_lossy())
}

/// Takes away what killed saves of this file left beside it: only ever called by who holds its lock. Another file's may
/// be being written.
pub(crate) fn sweep(path: &Path) {
    let Ok(entries) = fs::read_dir(folder_of(path)) else { return };
    let before = part_of(path);
    for entry in entries.flatten() {
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let random = name.strip_prefix(&before).and_then(|rest| rest.strip_suffix(".part"));
        if random.is_some_and(|random| !random.contains('-')) {
            let _ = fs::remove_file(entry.path());
        }
    }
}
