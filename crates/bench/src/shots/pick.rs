//! State, lock, candidate and note of the shots that are meant: one step back, whatever their number.

use egui::{Popup, Response};
use graph::{Edit, Shot, State};

use crate::look::figure;
use crate::state::{Action, Bench};

/// The edit that brings every meant shot there; none where all are.
fn of_meant(bench: &Bench, differs: impl Fn(&Shot) -> bool, edit: impl Fn(String) -> Edit) -> Option<Edit> {
    let document = bench.document()?;
    let differing = |name: &String| document.shots.get(name).is_some_and(&differs);
    let mut edits: Vec<Edit> = bench.meant().into_iter().filter(differing).map(edit).collect();
    match edits.len() {
        0 => None,
        1 => edits.pop(),
        _ => Some(Edit::Many(edits)),
    }
}

/// Says how far the work on the meant shots has come.
pub fn to_state(bench: &Bench, state: State) -> Option<Edit> {
    of_meant(bench, |shot| shot.state != state, |shot| Edit::SetState { shot, state })
}

/// Locks the meant shots or unlocks them.
pub fn lock(bench: &Bench, locked: bool) -> Option<Edit> {
    of_meant(bench, |shot| shot.locked != locked, |shot| Edit::SetLock { shot, locked })
}

/// Chooses a candidate for the meant shots.
pub fn choose(bench: &Bench, candidate: Option<&str>) -> Option<Edit> {
    let candidate = candidate.map(str::to_string);
    of_meant(bench, |shot| shot.candidate != candidate, |shot| Edit::Choose { shot, candidate: candidate.clone() })
}

/// Replaces a shot's note; none where it is the same.
pub fn note(bench: &Bench, name: &str, text: &str) -> Option<Edit> {
    let note = text.trim();
    let differs = bench.document()?.shots.get(name)?.note != note;
    differs.then(|| Edit::SetNote { shot: name.to_string(), note: note.to_string() })
}

/// The state to come after the active shot's; the first one after the last.
pub fn next_state(bench: &Bench) -> Option<Edit> {
    let own = bench.document()?.shots.get(bench.shot()?)?.state;
    let mut all = State::ALL.into_iter().cycle().skip_while(|state| *state != own);
    to_state(bench, all.nth(1)?)
}

/// All states below a cell.
pub fn state(cell: &Response, bench: &Bench, own: State, actions: &mut Vec<Action>) {
    Popup::menu(cell).show(|ui| {
        for state in State::ALL {
            if ui.selectable_label(state == own, figure(state.name().replace('-', " "))).clicked() {
                actions.extend(to_state(bench, state).map(Action::Edit));
            }
        }
    });
}

/// All candidates below a cell.
pub fn candidate(cell: &Response, bench: &Bench, own: Option<&str>, actions: &mut Vec<Action>) {
    let Some(document) = bench.document() else { return };
    Popup::menu(cell).show(|ui| {
        for name in document.candidates.keys() {
            if ui.selectable_label(own == Some(name), figure(name)).clicked() {
                actions.extend(choose(bench, Some(name)).map(Action::Edit));
            }
        }
        if ui.selectable_label(own.is_none(), figure("none chosen")).clicked() {
            actions.extend(choose(bench, None).map(Action::Edit));
        }
    });
}
