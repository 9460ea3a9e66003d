//! The tiles of the wall and how they are looked at.

use super::around::Around;
use super::{Action, Outside};
use serde::{Deserialize, Serialize};

/// Most tiles at once.
pub const MOST_TILES: usize = 4;
/// The least and the most screen pixels for one of the picture.
const LEAST_ZOOM: f32 = 1.0 / 16.0;
const MOST_ZOOM: f32 = 64.0;

/// A tile's place on the wall, from the left and the top.
pub type TileId = usize;

/// Where a rail is tapped.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Tap {
    /// Where the picture leaves.
    #[default]
    Result,
    /// The original.
    Original,
    /// Behind a place of the candidate, by its index.
    After(usize),
}

/// What is drawn of a picture.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Look {
    /// The picture itself.
    #[default]
    Picture,
    /// Bands of stops from mid grey.
    Bands,
    /// Stripes over a level.
    Zebra,
    /// Where it is clipped or out of gamut.
    Warnings,
}

/// How large a picture is shown, and which point of it stands in the middle.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Aim {
    /// How large.
    pub zoom: Zoom,
    /// The point in the middle of the tile, 0 to 1 across and down.
    pub middle: [f32; 2],
}

impl Default for Aim {
    fn default() -> Self {
        Self { zoom: Zoom::Fit, middle: [0.5; 2] }
    }
}

/// The wide trace under a tile.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Wide {
    /// Levels of luma, or of luminance, column by column.
    #[default]
    Waveform,
    /// Levels of red, green and blue, column by column, over each other.
    Together,
    /// The same side by side.
    Parade,
    /// How often each level occurs.
    Histogram,
}

/// The square trace beside it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
pub enum Square {
    /// Colour difference.
    #[default]
    Vectorscope,
    /// CIE 1976 u'v'.
    Chromaticity,
}

/// What one tile shows.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Tile {
    /// Its own number, which no other tile has: its picture goes with it, wherever it stands.
    pub number: u64,
    /// How it is looked at where it is free of the others.
    pub own: Option<Aim>,
    /// The shot.
    pub shot: Option<String>,
    /// The candidate; the shot's own where none is named.
    pub candidate: Option<String>,
    /// Where its rail is tapped.
    pub tap: Tap,
    /// What is drawn.
    pub look: Look,
    /// Whether its picture stays what it is while everything else goes on.
    pub kept: bool,
    /// A picture from outside that is seen in place of the shot.
    pub outside: Option<Outside>,
}

/// How large pictures are shown.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Zoom {
    /// As large as the tile.
    #[default]
    Fit,
    /// So many screen pixels for one of the picture.
    Times(f32),
}

/// The wall.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Wall {
    /// The tiles, one to four.
    pub tiles: Vec<Tile>,
    /// The tile that keys and entries go to.
    pub active: TileId,
    /// How large pictures are shown, all alike.
    pub zoom: Zoom,
    /// The point of the pictures that stands in the middle of the tiles, 0 to 1 across and down.
    pub middle: [f32; 2],
    /// Where the seam between the first two tiles' pictures lies, 0 to 1 across; none where each has its own tile.
    pub seam: Option<f32>,
    /// Whether all tiles but the first show how far they are from it.
    pub difference: bool,
    /// What the scale of differences reaches to, in 10-bit codes.
    pub difference_end: f32,
    /// The wide trace under each tile.
    pub wide: Wide,
    /// The square trace under each tile.
    pub square: Square,
    /// Whether the original is shown for as long as a key is held.
    #[serde(skip)]
    pub before: bool,
    /// Whether the picture alone fills the window.
    pub alone: bool,
    /// What the wall showed before a shot was put between its neighbours; none where it was not.
    pub around: Option<Around>,
}

impl Default for Wall {
    fn default() -> Self {
        Self {
            tiles: Vec::new(),
            active: 0,
            zoom: Zoom::Fit,
            middle: [0.5; 2],
            seam: None,
            difference: false,
            difference_end: 64.0,
            wide: Wide::default(),
            square: Square::default(),
            before: false,
            alone: false,
            around: None,
        }
    }
}

impl Wall {
    /// Rows and columns of tiles.
    pub fn grid(&self) -> [usize; 2] {
        match self.shown() {
            0 | 1 => [1, 1],
            2 => [1, 2],
            3 => [1, 3],
            _ => [2, 2],
        }
    }

    /// How many tiles are seen: one where a seam joins two or the picture is alone.
    pub fn shown(&self) -> usize {
        if self.alone || self.seam.is_some() { 1 } else { self.tiles.len() }
    }

    /// How a tile is looked at: as all, or as it alone.
    pub fn aim(&self, at: TileId) -> Aim {
        let own = self.tiles.get(at).and_then(|tile| tile.own);
        own.unwrap_or(Aim { zoom: self.zoom, middle: self.middle })
    }

    /// Aims the active tile, and all that are not free with it.
    fn set_aim(&mut self, aim: Aim) {
        match self.tiles.get_mut(self.active) {
            Some(tile) if tile.own.is_some() => tile.own = Some(aim),
            _ => (self.zoom, self.middle) = (aim.zoom, aim.middle),
        }
    }

    /// Does what concerns how pictures are looked at.
    pub(super) fn look_at(&mut self, action: Action) -> Result<(), String> {
        let aim = self.aim(self.active);
        match action {
            Action::Zoom(Zoom::Times(times)) => {
                self.set_aim(Aim { zoom: Zoom::Times(times.clamp(LEAST_ZOOM, MOST_ZOOM)), ..aim });
            }
            Action::Zoom(Zoom::Fit) => self.set_aim(Aim::default()),
            Action::Middle(at) => self.set_aim(Aim { middle: at.map(|place| place.clamp(0.0, 1.0)), ..aim }),
            Action::Link(linked) => {
                for tile in &mut self.tiles {
                    tile.own = if linked { None } else { tile.own.or(Some(aim)) };
                }
                if linked {
                    self.set_aim(aim);
                }
            }
            Action::Difference(true) if self.tiles.len() < 2 => return Err(ONE_TILE.to_string()),
            Action::Difference(on) => self.difference = on,
            Action::DifferenceEnd(end) => self.difference_end = end.clamp(1.0, 1023.0).round(),
            Action::Seam(Some(_)) if self.tiles.len() < 2 => return Err(ONE_TILE.to_string()),
            Action::Seam(seam) => self.seam = seam.map(|at| at.clamp(0.0, 1.0)),
            Action::KeepPicture(kept) => {
                if let Some(tile) = self.tiles.get_mut(self.active) {
                    tile.kept = kept;
                }
            }
            Action::Wide(wide) => self.wide = wide,
            Action::Square(square) => self.square = square,
            _ => {}
        }
        Ok(())
    }

    /// Gives a number to every tile that has none of its own.
    pub(super) fn number_tiles(&mut self) {
        let mut next = self.tiles.iter().map(|tile| tile.number).max().unwrap_or(0) + 1;
        for at in 0..self.tiles.len() {
            let (before, rest) = self.tiles.split_at_mut(at);
            if let Some(tile) = rest.first_mut()
                && (tile.number == 0 || before.iter().any(|other| other.number == tile.number))
            {
                tile.number = next;
                next += 1;
            }
        }
    }
}

const ONE_TILE: &str = "there is one picture only; add a tile beside it first";

#[cfg(test)]
mod tests {
    use super::*;
    use crate::state::Bench;

    fn bench(tiles: usize) -> Bench {
        let mut bench = Bench::default();
        bench.wall.tiles = vec![Tile::default(); tiles];
        bench.wall.number_tiles();
        bench
    }

    #[test]
    fn tiles_are_aimed_together_until_they_are_free() {
        let mut bench = bench(2);
        bench.apply(Action::Zoom(Zoom::Times(4.0)));
        bench.apply(Action::Middle([0.25, 2.0]));
        let together = Aim { zoom: Zoom::Times(4.0), middle: [0.25, 1.0] };
        assert_eq!([0, 1].map(|at| bench.wall.aim(at)), [together; 2]);
        bench.apply(Action::Link(false));
        bench.apply(Action::Activate(1));
        bench.apply(Action::Zoom(Zoom::Times(1000.0)));
        assert_eq!(bench.wall.aim(0), together);
        assert_eq!(bench.wall.aim(1), Aim { zoom: Zoom::Times(MOST_ZOOM), ..together });
        // Linked again, all are as the active one.
        bench.apply(Action::Link(true));
        assert_eq!(bench.wall.aim(0), bench.wall.aim(1));
        bench.apply(Action::Zoom(Zoom::Fit));
        assert_eq!([0, 1].map(|at| bench.wall.aim(at)), [Aim::default(); 2]);
    }

    #[test]
    fn a_tile_keeps_its_number_and_a_new_one_gets_its_own() {
        let mut bench = bench(2);
        bench.apply(Action::Activate(1));
        bench.apply(Action::KeepPicture(true));
        let kept = bench.wall.tiles[1].number;
        bench.apply(Action::AddTile);
        assert_eq!(bench.wall.active, 2);
        assert!(bench.wall.tiles[1].kept && !bench.wall.tiles[2].kept);
        bench.apply(Action::Tile(0, Tile { shot: Some("a".into()), ..Tile::default() }));
        let mut numbers: Vec<u64> = bench.wall.tiles.iter().map(|tile| tile.number).collect();
        bench.apply(Action::DropTile(0));
        assert_eq!(bench.wall.tiles[0].number, kept);
        numbers.sort_unstable();
        numbers.dedup();
        assert_eq!(numbers.len(), 3);
    }

    #[test]
    fn one_picture_has_neither_seam_nor_difference_and_says_so() {
        let mut bench = bench(1);
        for action in [Action::Seam(Some(0.5)), Action::Difference(true)] {
            bench.message = None;
            bench.apply(action);
            assert!(
                bench.message.as_ref().is_some_and(|message| message.wrong && message.words.contains("add a tile"))
            );
        }
        assert!(bench.wall.seam.is_none() && !bench.wall.difference);
        bench.apply(Action::AddTile);
        bench.apply(Action::Difference(true));
        bench.apply(Action::DifferenceEnd(0.2));
        assert!(bench.wall.difference && bench.wall.difference_end == 1.0);
        bench.apply(Action::DropTile(1));
        assert!(!bench.wall.difference);
    }
}
