//! Frames of the active tile's shot in time: all tiles of that shot move in step, by one clock.
//!
//! A file is read, decoded and uploaded once, whatever the number of tiles. [`Drawing`] makes the pictures of a frame, one
//! a tile; [`ToTiles`] puts them where the window looks for them when they are due. The window says what is to be played
//! ([`Play`]), the thread that makes stills lets the player follow ([`Driver`]), and hears how it goes ([`Played`]).

mod drawing;
mod driver;
mod screen;
#[cfg(test)]
mod tests;

use std::ops::RangeInclusive;
use std::path::PathBuf;

use session::playback::{Rate, Row, Share, Tally};

pub use driver::{Deck, Driver};

use super::{Wanted, Wish};
use crate::state::Bench;

/// The pictures of a shot that are played.
#[derive(Debug, Clone, PartialEq)]
pub struct Play {
    /// Its frames.
    pub media: PathBuf,
    /// What is drawn in each tile, by the tile's own number.
    pub tiles: Vec<(u64, Wanted)>,
    /// In and out, where they are set.
    pub ends: crate::state::Ends,
    /// From the last frame to the first.
    pub backward: bool,
    /// On at the other end.
    pub looped: bool,
    /// Where the play head is.
    pub head: Head,
}

/// What the play head does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Head {
    /// It runs.
    Runs {
        /// The frame that it began on.
        from: i64,
        /// How often it was let run by then.
        run: u64,
    },
    /// It is held on this frame, and may be drawn on.
    Held(i64),
}

impl Head {
    /// The frame that it was put on.
    fn at(self) -> i64 {
        let (Self::Runs { from: at, .. } | Self::Held(at)) = self;
        at
    }
}

/// How playing goes, and how it went last.
#[derive(Debug, Clone, PartialEq)]
pub struct Played {
    /// Frames a second.
    pub rate: Rate,
    /// Whether the files say so.
    pub is_said: bool,
    /// How large frames are played.
    pub share: Share,
    /// What became of those that came due.
    pub tally: Tally,
    /// The numbers that are in memory.
    pub at_hand: Vec<RangeInclusive<i64>>,
    /// What each stage took of a frame.
    pub stages: Vec<Row>,
    /// What keeps more frames from being shown.
    pub limit: &'static str,
}

/// What of the wishes is played; none where the play head rests, or every tile of the shot keeps what it shows.
pub fn play(bench: &Bench, wishes: &[Wish]) -> Option<Play> {
    let head = match (bench.playing.plays, bench.playing.scrubs) {
        (true, _) => Head::Runs { from: bench.frame, run: bench.playing.run },
        (false, true) => Head::Held(bench.frame),
        (false, false) => return None,
    };
    // Wherever the play head is: what is drawn is the same for every frame.
    let of_tile = |wish: &Wish| Some((wish.tile, Wanted { frame: 0, ..wish.picture.clone()? }));
    let tiles: Vec<(u64, Wanted)> = wishes.iter().filter(|wish| wish.played).filter_map(of_tile).collect();
    let media = tiles.first()?.1.media.clone();
    let (backward, looped) = (bench.playing.backward, bench.playing.looped);
    Some(Play { media, tiles, ends: bench.ends(), backward, looped, head })
}
