//! Where pictures that are due go: to the tiles, and the window is woken.

use std::path::PathBuf;
use std::sync::Arc;

use session::playback::{Purpose, Screen, Share, Shown};

use super::super::{Shared, Wanted, wake};
use super::drawing::OfFrame;

/// Pictures that fail one after the other before the tiles say so; a single one is counted and told, and play goes on.
const IN_A_ROW: u32 = 2;

/// Puts pictures where the window looks for them.
pub struct ToTiles {
    pub shared: Arc<Shared>,
    pub context: egui::Context,
    /// The frames that are played.
    pub media: PathBuf,
    /// Pictures that failed since one that did not.
    pub failed: u32,
}

impl Screen<OfFrame> for ToTiles {
    fn show(&mut self, shown: Shown<OfFrame>) {
        let Shown { task, picture, .. } = shown;
        let mut desk = self.shared.desk();
        let Some(tiles) = desk.played.as_ref().filter(|played| played.media == self.media).map(|own| own.tiles.clone())
        else {
            // What comes after play was stopped has nobody to look at it.
            return;
        };
        match picture {
            Ok(of_tiles) => {
                self.failed = 0;
                for (tile, made) in of_tiles.into_iter().filter(|(tile, _)| tiles.contains(tile)) {
                    let outcome = desk.outcomes.entry(tile).or_default();
                    match made {
                        Ok((mut shown, from, Wanted { traces, .. })) => {
                            (shown.asked, shown.meanwhile) = (task.number, task.purpose == Purpose::Meanwhile);
                            (outcome.shown, outcome.fault) = (Some(shown), None);
                            if let Some(kinds) = traces.filter(|_| task.share == Share::Whole) {
                                desk.countable.insert(tile, (from, kinds));
                            }
                        }
                        Err(words) => outcome.fault = Some(words),
                    }
                }
            }
            Err(words) => {
                self.failed += 1;
                if self.failed >= IN_A_ROW {
                    for tile in tiles {
                        desk.outcomes.entry(tile).or_default().fault = Some(words.clone());
                    }
                }
                // Of several in a row, the first one says it.
                if self.failed == 1 {
                    desk.failed = Some(format!("frame {}: {words}", task.source));
                }
            }
        }
        desk.head = Some(task.number);
        drop(desk);
        self.shared.bell.notify_one();
        wake(&self.context);
    }
}
