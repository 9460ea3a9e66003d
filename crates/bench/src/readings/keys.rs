//! What the commands of readings ask for.

use session::verdict::Extent;

use crate::state::{Action, Bench, OnVerdict};

/// Measures the lines under the tiles.
pub fn on_tiles(bench: &Bench) -> Option<Action> {
    bench.shot().map(|_| Action::Verdict(OnVerdict::Ask(Extent::Tile)))
}

/// Shows all figures of the active tile's shot, measured where there are none of now; or the probes again.
pub fn all(bench: &Bench) -> Option<Action> {
    bench.shot()?;
    if bench.verdicts.open {
        return Some(Action::Verdict(OnVerdict::Open(false)));
    }
    let known = bench.verdicts.figures.as_ref().and_then(|figures| figures.as_ref().ok());
    let is_now = known.is_some_and(|figures| bench.figures_are_of_now(figures));
    Some(Action::Verdict(if is_now { OnVerdict::Open(true) } else { OnVerdict::Ask(Extent::All) }))
}

/// Measures all figures, whatever there is.
pub fn again(bench: &Bench) -> Option<Action> {
    bench.shot().map(|_| Action::Verdict(OnVerdict::Ask(Extent::All)))
}
