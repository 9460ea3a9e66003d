//! What the commands of readings ask for.

use session::verdict::Extent;

use crate::state::{Action, Bench, OnVerdict, Sheet};

/// Measures the lines under the tiles.
pub fn on_tiles(bench: &Bench) -> Option<Action> {
    bench.shot().map(|_| Action::Verdict(OnVerdict::Ask(Extent::Tile)))
}

/// Lays all figures of the active tile's shot over the window, measured where there are none of now; or takes them away.
pub fn all(bench: &Bench) -> Option<Action> {
    bench.shot()?;
    if bench.sheet == Some(Sheet::Verdict) {
        return Some(Action::Lay(None));
    }
    let known = bench.verdicts.figures.as_ref().and_then(|figures| figures.as_ref().ok());
    let is_now = known.is_some_and(|figures| bench.figures_are_of_now(figures));
    Some(if is_now { Action::Lay(Some(Sheet::Verdict)) } else { Action::Verdict(OnVerdict::Ask(Extent::All)) })
}

/// Measures all figures, whatever there is.
pub fn again(bench: &Bench) -> Option<Action> {
    bench.shot().map(|_| Action::Verdict(OnVerdict::Ask(Extent::All)))
}
