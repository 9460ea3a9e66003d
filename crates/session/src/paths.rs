//! Paths in a project: from its folder where they lie near it, with forward slashes, so that a project and its media
//! can be moved together.

use std::path::{Component, Path, PathBuf};

/// How a path is written in a project that lies in `folder`. What lies below the folder, or below the one above it, is
/// written from there; anything else as a whole path. Both must be whole paths to be compared; a path that is not
/// stays as it is.
pub fn written(path: &Path, folder: &Path) -> String {
    let near = || {
        if let Ok(below) = path.strip_prefix(folder) {
            return Some(below.to_owned());
        }
        let above = folder.parent()?;
        // Beside the root lies everything.
        above.parent()?;
        Some(Path::new("..").join(path.strip_prefix(above).ok()?))
    };
    let path = near().unwrap_or_else(|| path.to_owned());
    let text = path.to_string_lossy().into_owned();
    if std::path::MAIN_SEPARATOR == '/' { text } else { text.replace(std::path::MAIN_SEPARATOR, "/") }
}

/// The path that a project in `folder` means. The system follows what `..` it holds, links and all.
pub fn meant(text: &str, folder: &Path) -> PathBuf {
    folder.join(text)
}

/// A path as people write it: without the `./` that names of the current folder get.
pub fn shown(path: &Path) -> String {
    path.strip_prefix(".").unwrap_or(path).display().to_string()
}

/// A path without detours: `a/../b` is `b`. Links are not looked at.
fn plain(path: &Path) -> PathBuf {
    let mut out = PathBuf::new();
    for part in path.components() {
        match part {
            Component::CurDir => {}
            Component::ParentDir if matches!(out.components().next_back(), Some(Component::Normal(_))) => {
                out.pop();
            }
            part => out.push(part),
        }
    }
    if out.as_os_str().is_empty() { PathBuf::from(".") } else { out }
}

/// A path as a whole one, from the folder that the program works in.
pub fn whole(path: &Path) -> PathBuf {
    std::path::absolute(path).map_or_else(|_| path.to_owned(), |path| plain(&path))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn near_paths_are_written_from_the_folder() {
        let folder = Path::new("/shows/ferry/scene");
        for (path, text) in [
            ("/shows/ferry/scene/deck/deck.%04d.dpx", "deck/deck.%04d.dpx"),
            ("/shows/ferry/originals/deck.%04d.dpx", "../originals/deck.%04d.dpx"),
            ("/elsewhere/deck.exr", "/elsewhere/deck.exr"),
            ("relative/deck.exr", "relative/deck.exr"),
        ] {
            assert_eq!(written(Path::new(path), folder), text);
        }
        assert_eq!(written(Path::new("/media/a.exr"), Path::new("/scene")), "/media/a.exr");
        for text in ["deck/deck.%04d.dpx", "../originals/deck.%04d.dpx", "/elsewhere/deck.exr"] {
            assert_eq!(written(&meant(text, folder), folder), text);
        }
        assert_eq!(meant("../a", Path::new("")), Path::new("../a"));
    }
}
