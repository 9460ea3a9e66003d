//! What the commands about renders ask for.

use crate::state::{Action, Bench, OnRenders, Sheet};

/// The sheet of renders.
pub fn open(bench: &Bench) -> Option<Action> {
    bench.project().map(|_| Action::Lay(Some(Sheet::Renders)))
}

/// All that run or wait are told to wait.
pub fn pause(bench: &Bench) -> Option<Action> {
    use session::queue::State::{Running, Waiting};
    let any = bench.renders.seen.jobs.iter().any(|(job, _)| matches!(job.state, Running | Waiting));
    any.then(|| Action::Renders(OnRenders::Pause(Vec::new())))
}

/// All that wait are told to go.
pub fn go(bench: &Bench) -> Option<Action> {
    let any = bench.renders.seen.jobs.iter().any(|(job, _)| !job.state.is_over());
    any.then(|| Action::Renders(OnRenders::Go(Vec::new())))
}
