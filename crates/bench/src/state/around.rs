//! A shot between those before and after it in the cut.

use serde::{Deserialize, Serialize};

use super::{Bench, Tap, Tile, TileId};

/// The tile of the shot itself.
pub const MIDDLE: TileId = 1;

/// What the wall showed before.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize)]
#[serde(default)]
pub struct Around {
    active: TileId,
    shot: Option<String>,
    tiles: Vec<Tile>,
}

impl Bench {
    /// Shows the active tile's shot between its neighbours, or the wall as it was before.
    ///
    /// # Errors
    /// In words: there is no shot.
    pub(super) fn stand_around(&mut self, on: bool) -> Result<(), String> {
        match (on, self.wall.around.take()) {
            (true, None) => {
                let Some(own) = self.tile().filter(|tile| tile.shot.is_some()).cloned() else {
                    return Err("there is no shot whose neighbours could be shown".to_string());
                };
                let middle = Tile { kept: false, outside: None, ..own };
                let beside = || Tile { look: middle.look, ..Tile::default() };
                let shot = middle.shot.clone();
                let tiles = std::mem::replace(&mut self.wall.tiles, vec![beside(), middle.clone(), beside()]);
                self.wall.around = Some(Around { active: self.wall.active, shot, tiles });
                (self.wall.active, self.wall.seam, self.wall.difference) = (MIDDLE, None, false);
            }
            (false, Some(before)) => {
                let now = self.wall.tiles.get(MIDDLE).and_then(|tile| tile.shot.clone());
                self.wall.tiles = before.tiles;
                self.wall.active = before.active.min(self.wall.tiles.len().saturating_sub(1));
                for tile in &mut self.wall.tiles {
                    // Its number went to another tile, and what was frozen with it.
                    tile.kept = false;
                    if tile.shot == before.shot {
                        tile.shot.clone_from(&now);
                    }
                }
            }
            (_, around) => self.wall.around = around,
        }
        self.wall.number_tiles();
        Ok(())
    }

    /// Lets the neighbours be those of the shot in the middle.
    pub(super) fn follow_cut(&mut self) {
        if self.wall.around.is_none() {
            return;
        }
        if self.wall.tiles.len() != 3 {
            // A tile was added or taken away: it is a wall as any other from now on.
            self.wall.around = None;
            return;
        }
        let Some(middle) = self.wall.tiles.get(MIDDLE).cloned() else { return };
        let own = self.candidate_of(&middle).map(str::to_string);
        let cut = self.cut();
        let at = cut.iter().position(|name| Some(*name) == middle.shot.as_deref());
        let beside = [at.and_then(|at| at.checked_sub(1)), at.map(|at| at + 1)];
        let shots = beside.map(|at| at.and_then(|at| cut.get(at)).map(|name| (*name).to_string()));
        for (tile, shot) in [0, 2].into_iter().zip(shots) {
            let chosen = || self.document()?.shots.get(shot.as_ref()?)?.candidate.clone();
            let candidate = chosen().or_else(|| own.clone());
            let Some(tile) = self.wall.tiles.get_mut(tile) else { continue };
            tile.tap = if middle.tap == Tap::Original { Tap::Original } else { Tap::Result };
            (tile.shot, tile.candidate, tile.outside) = (shot, candidate, None);
        }
    }

    /// What goes on in the cut is the shot in the middle, whichever tile has the keys.
    pub(super) fn take_middle(&mut self) {
        if self.wall.around.is_some() {
            self.wall.active = MIDDLE;
        }
    }

    /// The frame that a tile is to show: beside a cut the last one before it, and the first one after it.
    pub fn frame_of(&self, at: TileId) -> i64 {
        match (&self.wall.around, at) {
            (Some(_), 0) => i64::MAX,
            (Some(_), 2) => i64::MIN,
            _ => self.frame,
        }
    }

    /// Why a tile shows nothing, in words.
    pub fn nothing_in(&self, at: TileId) -> &'static str {
        match (&self.wall.around, at) {
            (Some(_), 0) => "no shot before",
            (Some(_), 2) => "no shot after",
            _ => "no shot",
        }
    }
}

#[cfg(test)]
mod tests {
    use super::super::Action;
    use crate::rig::Rig;

    fn shots(rig: &Rig) -> Vec<Option<&str>> {
        rig.bench.wall.tiles.iter().map(|tile| tile.shot.as_deref()).collect()
    }

    #[test]
    fn a_shot_stands_between_its_neighbours_and_they_follow() {
        let mut rig = Rig::new(&[("one", &["exposure"]), ("two", &["contrast"])]);
        assert_eq!(rig.bench.cut(), ["deck_010", "galley_010"]);
        rig.bench.apply(Action::Activate(1));
        rig.bench.apply(Action::Around(true));
        assert_eq!(shots(&rig), [Some("deck_010"), Some("galley_010"), None]);
        assert_eq!(rig.bench.wall.tiles[1].candidate.as_deref(), Some("two"));
        assert_eq!(rig.bench.wall.tiles[0].candidate.as_deref(), Some("two"));
        assert_eq!((rig.bench.nothing_in(2), rig.bench.wall.active), ("no shot after", 1));
        // The shot in the middle goes on, whichever tile has the keys.
        rig.bench.apply(Action::Activate(2));
        rig.bench.apply(Action::Shot(-1));
        assert_eq!(shots(&rig), [None, Some("deck_010"), Some("galley_010")]);
        rig.bench.apply(Action::Frame(7));
        assert_eq!([0, 1, 2].map(|at| rig.bench.frame_of(at)), [i64::MAX, 7, i64::MIN]);
        rig.bench.apply(Action::Around(false));
        assert_eq!(shots(&rig), [Some("deck_010"); 2]);
        assert_eq!(rig.bench.wall.active, 1);
        let candidates: Vec<_> = rig.bench.wall.tiles.iter().map(|tile| tile.candidate.as_deref()).collect();
        assert_eq!(candidates, [Some("one"), Some("two")]);
    }

    #[test]
    fn a_shot_that_is_chosen_goes_to_the_middle_and_another_tile_ends_it() {
        let mut rig = Rig::new(&[("one", &["exposure"])]);
        rig.bench.apply(Action::Around(true));
        rig.bench.apply(Action::Activate(0));
        rig.bench.apply(Action::Choose(vec!["deck_010".into()]));
        assert_eq!(shots(&rig), [None, Some("deck_010"), Some("galley_010")]);
        rig.bench.apply(Action::DropTile(2));
        assert!(rig.bench.wall.around.is_none());
        assert_eq!(rig.bench.frame_of(0), rig.bench.frame);
    }
}
