//! The picture of the second window: the active tile's, without anything over it, through a monitor's profile.

use graph::{Elaborated, Monitor, Monitored};
use plan::{Level, Plan};
use session::Fault;

use super::maker::Maker;
use super::{CLEAN, Outcome, Shared, Wanted, wanted};
use crate::state::{Bench, Look};

/// What the second window calls for; none where it shows no picture, or the active tile's own.
pub fn clean(bench: &Bench) -> Option<Wanted> {
    if !bench.second.open || bench.second.page || shows_the_tiles_own(bench) {
        return None;
    }
    let picture = wanted(bench).into_iter().nth(bench.wall.active)?.picture?;
    Some(Wanted { look: Look::Picture, traces: None, monitor: bench.second.monitor().cloned(), ..picture })
}

/// Whether what the active tile shows is what the second window is to show: a kept picture cannot be made anew, and one that
/// goes through no profile is that of the tile where nothing is drawn over it.
pub fn shows_the_tiles_own(bench: &Bench) -> bool {
    bench.tile().is_some_and(|tile| tile.kept || bench.second.monitor().is_none() && tile.look == Look::Picture)
}

/// Makes it. What no monitor can show is shown as its codes are, and that is said.
pub fn make(shared: &Shared, maker: &mut Maker, wanted: &Wanted) {
    let work = shared.work();
    let (made, why) = match maker.make(CLEAN, wanted) {
        Err(fault) if wanted.monitor.is_some() => {
            (maker.make(CLEAN, &Wanted { monitor: None, ..wanted.clone() }), Some(fault.to_string()))
        }
        other => (other, None),
    };
    drop(work);
    let mut desk = shared.desk();
    let outcome = desk.outcomes.entry(CLEAN).or_default();
    match made {
        Ok((shown, _)) => *outcome = Outcome { shown: Some(shown), traces: None, fault: why },
        Err(fault) => outcome.fault = Some(fault.to_string()),
    }
}

/// A picture's plan; as it is seen on a monitor, where one is named.
///
/// # Errors
/// A monitor, and a picture that is made for no display.
pub fn plan(elaborated: &Elaborated, monitor: Option<&Monitor>) -> Result<Plan, Fault> {
    let Some(monitor) = monitor else { return Ok(Plan::new(elaborated, Level::Full)) };
    let monitored = Monitored::new(elaborated.clone(), monitor.clone()).map_err(Fault::failed)?;
    Ok(Plan::for_monitor(&monitored, Level::Full))
}
