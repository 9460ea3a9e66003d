//! What the table's keys do.

use super::{foot, pick};
use crate::state::{Action, Bench, OnTable};

/// The next state for the meant shots.
pub fn next_state(bench: &Bench) -> Option<Action> {
    pick::next_state(bench).map(Action::Edit)
}

/// Locks the meant shots, or unlocks them where the active one is locked.
pub fn lock(bench: &Bench) -> Option<Action> {
    let locked = bench.document()?.shots.get(bench.shot()?)?.locked;
    pick::lock(bench, !locked).map(Action::Edit)
}

/// Makes the active shot the anchor, or none where it is already.
pub fn anchor(bench: &Bench) -> Option<Action> {
    let own = bench.shot()?;
    let is = bench.table.anchor.as_deref() == Some(own);
    Some(Action::Table(OnTable::Anchor((!is).then(|| own.to_string()))))
}

/// Writes on the active shot's note.
pub fn note(bench: &Bench) -> Option<Action> {
    let own = bench.shot()?;
    let note = bench.document()?.shots.get(own)?.note.clone();
    Some(Action::Table(OnTable::Note(own.to_string(), note)))
}

/// Opens what is copied, or closes it.
pub fn copy(bench: &Bench) -> Option<Action> {
    let next = if bench.table.copying.is_some() { None } else { Some(foot::begin(bench)?) };
    Some(Action::Table(OnTable::Copying(next)))
}

/// Chooses every shot that the filter shows.
pub fn choose_all(bench: &Bench) -> Option<Action> {
    let own = bench.shot()?.to_string();
    let others = bench.rows().into_iter().filter(|name| *name != own).map(str::to_string);
    Some(Action::Choose(std::iter::once(own.clone()).chain(others).collect()))
}

/// Runs through the shots, or stops.
pub fn run(bench: &Bench) -> Option<Action> {
    Some(Action::Table(if bench.table.run.is_some() { OnTable::Halt } else { OnTable::Run }))
}
