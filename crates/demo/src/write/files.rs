//! Files, each whole or not at all, in folders that are made for them.

use std::fs;
use std::path::Path;

use serde::Serialize;

use crate::DemoError;

/// Makes a folder, and those above it.
pub fn folder(path: &Path) -> Result<(), DemoError> {
    fs::create_dir_all(path).map_err(|source| DemoError::Io { path: path.to_owned(), source })
}

/// Writes a value as JSON.
pub fn json(path: &Path, value: &impl Serialize) -> Result<(), DemoError> {
    let io = |source| DemoError::Io { path: path.to_owned(), source };
    let mut text = serde_json::to_vec_pretty(value).map_err(|error| io(error.into()))?;
    text.push(b'\n');
    bytes(path, &text)
}

/// Writes bytes under their own name only once they are whole.
pub fn bytes(path: &Path, bytes: &[u8]) -> Result<(), DemoError> {
    let io = |source| DemoError::Io { path: path.to_owned(), source };
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let part = path.with_file_name(format!(".{name}.part"));
    fs::write(&part, bytes).and_then(|()| fs::rename(&part, path)).map_err(|source| {
        let _ = fs::remove_file(&part);
        io(source)
    })
}
