//! Keys on a carriage that has the focus.
//!
//! Left and right go from carriage to carriage, up and down from rail to rail; with alt the carriage itself moves along. Enter
//! opens its scales, a stroke (/) lets the picture go past it, delete takes it out; numbers that are typed go to the entry line.

use egui::{EventFilter, Key, Ui};
use graph::Edit;

use super::drag;
use super::meaning::allowed;
use super::row::{Drawn, Stand};
use crate::entry;
use crate::state::{Action, Bench};

/// Does what was pressed.
pub fn follow(ui: &Ui, bench: &Bench, drawn: &[Drawn<'_>], actions: &mut Vec<Action>) {
    let focused = drawn.iter().enumerate().find_map(|(rail, own)| {
        let number = own.stands.iter().position(|stand| stand.response.has_focus())?;
        Some((rail, number))
    });
    let Some((rail, number)) = focused else { return };
    let Some(stand) = stand(drawn, rail, number) else { return };
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(stand.response.id, filter));
    entry::remember(ui, stand.response.id);
    if entry::is_typed(ui) {
        entry::take_keys(ui);
        return;
    }
    let pressed = |key| ui.input(|input| input.key_pressed(key));
    let alt = ui.input(|input| input.modifiers.alt);
    let (left, right) = (pressed(Key::ArrowLeft), pressed(Key::ArrowRight));
    let candidate = drawn.get(rail).map_or("", |own| own.row.candidate);
    if alt && (left || right) {
        if let Some(edit) = drawn.get(rail).and_then(|own| drag::by_one(own, stand, right)) {
            ask(bench, candidate, edit, actions);
        }
        return;
    }
    let next = match () {
        () if left => number.checked_sub(1).map(|number| (rail, number)),
        () if right => Some((rail, number + 1)),
        () if pressed(Key::ArrowUp) => rail.checked_sub(1).map(|rail| (rail, like(drawn, rail, stand, number))),
        () if pressed(Key::ArrowDown) => Some((rail + 1, like(drawn, rail + 1, stand, number))),
        () => None,
    };
    if let Some(next) = next.and_then(|(rail, number)| self::stand(drawn, rail, number)) {
        next.response.request_focus();
        next.response.scroll_to_me(None);
    }
    let (candidate, at) = (candidate.to_string(), stand.at);
    if pressed(Key::Slash) {
        let place = drawn.get(rail).and_then(|own| own.row.wiring.graph().node_weight(at));
        let bypass = place.is_some_and(|place| !place.bypass);
        actions.push(Action::Edit(Edit::Bypass { candidate, at, bypass }));
    } else if pressed(Key::Delete) || pressed(Key::Backspace) {
        ask(bench, &candidate.clone(), Edit::Remove { candidate, at }, actions);
    }
}

/// Asks for an edit of a rail, or says why it cannot be.
pub fn ask(bench: &Bench, candidate: &str, edit: Edit, actions: &mut Vec<Action>) {
    actions.push(match allowed(bench, candidate, &edit) {
        Ok(()) => Action::Edit(edit),
        Err(words) => Action::Say(words),
    });
}

fn stand<'a>(drawn: &'a [Drawn<'_>], rail: usize, number: usize) -> Option<&'a Stand> {
    drawn.get(rail)?.stands.get(number)
}

/// Where the same member stands on a rail, or else what stands as far along.
fn like(drawn: &[Drawn<'_>], rail: usize, own: &Stand, number: usize) -> usize {
    let stands = drawn.get(rail).map_or(&[][..], |rail| &rail.stands);
    let same = stands.iter().position(|stand| stand.member == own.member);
    same.unwrap_or(number.min(stands.len().saturating_sub(1)))
}
