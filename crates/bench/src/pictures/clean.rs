//! The picture of the second window: the active tile's, without anything over it, through a monitor's profile.

use graph::{Elaborated, Monitor, Monitored};
use plan::{Level, Plan};

use super::{CLEAN, Wanted, Wish};
use crate::state::{Bench, Look};

/// What the second window calls for, by what the tiles do; none where it shows no picture, or the active tile's own.
pub fn clean(bench: &Bench, wishes: &[Wish]) -> Option<Wish> {
    if !bench.second.open || bench.second.page || shows_the_tiles_own(bench) {
        return None;
    }
    let active = wishes.get(bench.wall.active)?;
    let monitor = bench.second.monitor().cloned();
    let wanted = Wanted { look: Look::Picture, traces: None, monitor, ..active.picture.clone()? };
    Some(Wish { tile: CLEAN, picture: Some(wanted), kept: false, codes: false, ..active.clone() })
}

/// Whether what the active tile shows is what the second window is to show: a kept picture cannot be made anew, and one that
/// goes through no profile is that of the tile where nothing is drawn over it.
pub fn shows_the_tiles_own(bench: &Bench) -> bool {
    bench.tile().is_some_and(|tile| tile.kept || bench.second.monitor().is_none() && tile.look == Look::Picture)
}

/// A picture's plan; as it is seen on a monitor, where one is named, or why it is not seen on it.
pub fn plan(elaborated: &Elaborated, monitor: Option<&Monitor>) -> (Plan, Option<String>) {
    let plain = || Plan::new(elaborated, Level::Full);
    match monitor.map(|monitor| Monitored::new(elaborated.clone(), monitor.clone())) {
        None => (plain(), None),
        Some(Ok(monitored)) => (Plan::for_monitor(&monitored, Level::Full), None),
        // What no monitor can show is shown as its codes are.
        Some(Err(error)) => (plain(), Some(error.to_string())),
    }
}
