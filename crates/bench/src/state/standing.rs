//! How the window stands, as it is kept from one day to the next. What is the project's own is in its file; this is how it
//! was looked at.

use std::collections::BTreeSet;

use serde::{Deserialize, Serialize};

use super::{Bench, Message, Playing, Second, Touched, Wall};

/// Tiles, frame and what is chosen.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Standing {
    frame: i64,
    chosen: BTreeSet<String>,
    touched: Option<Touched>,
    wall: Wall,
    second: Second,
    playing: Playing,
}

impl Default for Standing {
    fn default() -> Self {
        Self {
            frame: 1,
            chosen: BTreeSet::new(),
            touched: None,
            wall: Wall::default(),
            second: Second::default(),
            playing: Playing::default(),
        }
    }
}

impl Standing {
    /// How a window stands.
    pub fn of(bench: &Bench) -> Self {
        Self {
            frame: bench.frame,
            chosen: bench.chosen.clone(),
            touched: bench.touched.clone(),
            wall: bench.wall.clone(),
            second: bench.second.clone(),
            playing: bench.playing.clone(),
        }
    }

    /// Lets a window stand so, as far as its project has what is named.
    pub fn lay(self, bench: &mut Bench) {
        let tiles = self.wall.tiles.len();
        // A file that somebody wrote in by hand shall not leave a wall without tiles.
        if (1..=super::wall::MOST_TILES).contains(&tiles) {
            let first = bench.wall.tiles.first().and_then(|tile| tile.shot.clone());
            bench.wall = Wall { active: self.wall.active.min(tiles - 1), ..self.wall };
            let document = bench.project.as_ref().map(session::Project::document);
            for tile in &mut bench.wall.tiles {
                let there = |name: &String| document.is_some_and(|document| document.shots.contains_key(name));
                tile.shot = tile.shot.take().filter(there).or_else(|| first.clone());
                // What was kept frozen is a picture, and that is gone.
                tile.kept = false;
            }
        }
        (bench.frame, bench.chosen, bench.touched) = (self.frame, self.chosen, self.touched);
        bench.playing = self.playing;
        bench.second = self.second;
        if let Err(words) = bench.second.read() {
            bench.message = Some(Message { words, wrong: true });
        }
        bench.settle();
        bench.follow_cut();
    }
}
