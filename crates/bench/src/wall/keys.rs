//! What commands ask of the wall and of the second window.

use crate::state::{Action, Bench, OnSecond, Sheet};

/// Choose what the active tile shows.
pub fn choose(bench: &Bench) -> Option<Action> {
    bench.project().map(|_| Action::Lay(Some(Sheet::Tile)))
}

/// The active shot between its neighbours, or the wall as it was.
pub fn around(bench: &Bench) -> Option<Action> {
    let is_on = bench.wall.around.is_some();
    (is_on || bench.shot().is_some()).then_some(Action::Around(!is_on))
}

/// A picture from outside in the active tile.
pub fn outside(bench: &Bench) -> Option<Action> {
    bench.tile()?;
    Some(Action::Lay(Some(Sheet::Outside { typed: String::new(), encoding: String::new() })))
}

/// The shot again in place of a picture from outside.
pub fn inside(bench: &Bench) -> Option<Action> {
    bench.tile()?.outside.as_ref()?;
    Some(Action::Outside(bench.wall.active, None))
}

/// The second window, or none.
pub fn second(bench: &Bench) -> Option<Action> {
    Some(Action::Second(OnSecond::Open(!bench.second.open)))
}

/// Let it fill its screen, or not.
pub fn full(bench: &Bench) -> Option<Action> {
    Some(Action::Second(OnSecond::Full(!bench.second.full)))
}

/// The set-up page on it, or the picture.
pub fn page(bench: &Bench) -> Option<Action> {
    Some(Action::Second(OnSecond::Page(!(bench.second.page && bench.second.open))))
}

/// The profile of its monitor.
pub fn monitor(_: &Bench) -> Option<Action> {
    Some(Action::Lay(Some(Sheet::Monitor { typed: String::new() })))
}
