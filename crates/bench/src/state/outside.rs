//! A picture from outside the project on a tile: a file, shown as it is stored or by an encoding that is named.

use std::path::{Path, PathBuf};

use colour::Reference;
use serde::{Deserialize, Serialize};
use session::chain::{encodings, find};

use super::{Bench, TileId};

/// A picture from outside.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Outside {
    /// Its file.
    pub path: PathBuf,
    /// What its numbers are; none where they are shown as they are stored.
    pub encoding: Option<Stated>,
}

/// An encoding that somebody named.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Stated {
    /// Its name.
    pub name: String,
    /// Whether it is of a scene, which has to be rendered for a display before it is seen.
    pub of_scene: bool,
}

impl Outside {
    /// The name of its file.
    pub fn name(&self) -> String {
        self.path.file_name().unwrap_or(self.path.as_os_str()).to_string_lossy().into_owned()
    }

    /// How its numbers are taken, in words.
    pub fn taken(&self) -> String {
        match &self.encoding {
            None => "as stored".to_string(),
            Some(Stated { name, of_scene: false }) => format!("{name}, as stored"),
            Some(Stated { name, of_scene: true }) => format!("{name}, rendered as usual"),
        }
    }

    /// The chain that leads to its display picture.
    pub fn chain(&self) -> &'static str {
        match &self.encoding {
            Some(Stated { of_scene: true, .. }) => "input-transform | output-transform",
            _ => "",
        }
    }
}

/// Whether a path names a picture, by its ending.
pub fn is_picture(path: &Path) -> bool {
    media::Format::of_path(path).is_ok()
}

impl Bench {
    /// Shows a file in a tile, or the tile's shot again.
    ///
    /// # Errors
    /// In words: no such file, no picture, an encoding that is not known.
    pub(super) fn show_outside(&mut self, at: TileId, file: Option<(PathBuf, String)>) -> Result<(), String> {
        let outside = match file {
            None => None,
            Some((path, encoding)) => {
                media::Format::of_path(&path).map_err(|error| error.to_string())?;
                if !path.is_file() {
                    return Err(format!("{}: no such file; check the spelling and the folder", path.display()));
                }
                // The window may be opened from elsewhere the next time.
                let path = std::path::absolute(&path).unwrap_or(path);
                Some(Outside { path, encoding: self.stated(encoding.trim())? })
            }
        };
        let Some(tile) = self.wall.tiles.get_mut(at) else { return Ok(()) };
        (tile.outside, tile.kept) = (outside, false);
        self.sheet = None;
        Ok(())
    }

    fn stated(&self, name: &str) -> Result<Option<Stated>, String> {
        if name.is_empty() {
            return Ok(None);
        }
        let files = self.project().map(session::Project::encoding_files).unwrap_or_default();
        let book = encodings(&files).map_err(|fault| fault.to_string())?;
        let encoding = find(&book, name, None).map_err(|error| error.to_string())?;
        let of_scene = encoding.reference == Reference::Scene;
        Ok(Some(Stated { name: encoding.name, of_scene }))
    }

    /// Takes what was let go over the window: a picture goes to the active tile, all else is opened.
    ///
    /// # Errors
    /// In words.
    pub(super) fn take_dropped(&mut self, path: PathBuf, beside: bool) -> Result<(), String> {
        if !is_picture(&path) {
            return self.open(&path);
        }
        if beside && self.wall.tiles.len() < super::wall::MOST_TILES {
            self.apply(super::Action::AddTile);
        }
        self.show_outside(self.wall.active, Some((path, String::new())))
    }
}

#[cfg(test)]
mod tests {
    use super::super::{Action, Tile};
    use super::*;

    fn bench() -> Bench {
        let mut bench = Bench::default();
        bench.wall.tiles = vec![Tile { shot: Some("deck_010".into()), ..Tile::default() }; 2];
        bench.wall.number_tiles();
        bench
    }

    fn refused(bench: &mut Bench, action: Action, words: &str) {
        bench.message = None;
        bench.apply(action);
        let message = bench.message.clone().unwrap();
        assert!(message.wrong && message.words.contains(words), "{message:?}");
    }

    #[test]
    fn a_file_stands_in_for_the_shot_until_another_is_chosen() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("print.PNG");
        std::fs::write(&path, b"").unwrap();
        let mut bench = bench();
        bench.apply(Action::Outside(1, Some((path.clone(), String::new()))));
        let outside = bench.wall.tiles[1].outside.clone().unwrap();
        assert_eq!((outside.name().as_str(), outside.chain(), outside.encoding), ("print.PNG", "", None));
        assert!(bench.wall.tiles[0].outside.is_none() && bench.wall.tiles[1].shot.is_some());
        // A scene's numbers have to be rendered, a display's not.
        for (name, chain) in [("ACEScg", "input-transform | output-transform"), ("sRGB", "")] {
            bench.apply(Action::Outside(1, Some((path.clone(), name.into()))));
            assert_eq!(bench.wall.tiles[1].outside.clone().unwrap().chain(), chain);
        }
        bench.apply(Action::Activate(1));
        bench.apply(Action::Choose(vec!["deck_010".into()]));
        assert!(bench.wall.tiles[1].outside.is_none());
    }

    #[test]
    fn what_is_no_picture_is_refused_and_changes_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("print.png");
        let mut bench = bench();
        let open = |path: &Path, encoding: &str| Action::Outside(0, Some((path.to_owned(), encoding.into())));
        refused(&mut bench, open(&path, ""), "no such file");
        refused(&mut bench, open(&folder.path().join("print.mov"), ""), "print.mov");
        std::fs::write(&path, b"").unwrap();
        refused(&mut bench, open(&path, "sRGBB"), "near names: sRGB");
        assert!(bench.wall.tiles[0].outside.is_none());
    }

    #[test]
    fn what_is_dropped_is_a_picture_or_is_opened() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("print.tif");
        std::fs::write(&path, b"").unwrap();
        let mut bench = bench();
        bench.apply(Action::Dropped(path.clone(), false));
        assert!(bench.wall.tiles[0].outside.is_some() && bench.wall.tiles.len() == 2);
        bench.apply(Action::Dropped(path, true));
        assert!(bench.wall.tiles.len() == 3 && bench.wall.tiles[1].outside.is_some());
        refused(&mut bench, Action::Dropped(folder.path().join("gone.greywright"), false), "gone.greywright");
    }
}
