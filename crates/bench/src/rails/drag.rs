//! Carriages that are dragged along their rail, or across to another one.

use egui::{Id, Pos2, Stroke, Ui, pos2};
use graph::{Edit, Input, Place, Spot};
use petgraph::stable_graph::NodeIndex;

use super::meaning::allowed;
use super::row::{Drawn, Stand};
use crate::look::LIGHT;
use crate::state::{Action, Bench};

/// Where the carriages stood when the drag began: what is tried must not move the places that it is measured by.
#[derive(Debug, Clone, Default)]
struct Held {
    rails: Vec<Rail>,
    /// What was asked for last, so that it is asked for once.
    last: Option<Edit>,
}

#[derive(Debug, Clone)]
struct Rail {
    candidate: String,
    top: f32,
    bottom: f32,
    siding_from: f32,
    stands: Vec<Stood>,
}

#[derive(Debug, Clone)]
struct Stood {
    at: NodeIndex,
    member: String,
    siding: bool,
    x: f32,
}

/// Follows a drag: the order is tried while the carriage moves, and kept when it is let go.
pub fn follow(ui: &Ui, bench: &Bench, drawn: &[Drawn<'_>], actions: &mut Vec<Action>) {
    let own = drawn.iter().find_map(|rail| {
        let stand = rail.stands.iter().find(|stand| stand.response.dragged() || stand.response.drag_stopped())?;
        Some((rail, stand))
    });
    let Some((rail, stand)) = own else { return };
    let id = Id::unique("dragged carriage");
    if stand.response.drag_stopped() {
        ui.data_mut(|data| data.remove::<Held>(id));
        actions.push(Action::Keep);
        return;
    }
    let mut held: Held = match ui.data(|data| data.get_temp(id)) {
        Some(held) if !stand.response.drag_started() => held,
        _ => Held { rails: drawn.iter().map(stood).collect(), last: None },
    };
    let Some(pointer) = stand.response.interact_pointer_pos() else { return };
    let asked = asked(&held, rail.row.candidate, stand, pointer);
    let edit = asked.as_ref().ok().cloned().flatten();
    if edit != held.last || asked.is_err() {
        match (asked, &edit) {
            (Ok(_), Some(edit)) => {
                let candidate = candidate_of(edit).unwrap_or(rail.row.candidate);
                actions.extend(match allowed(bench, candidate, edit) {
                    Ok(()) => vec![Action::Try(edit.clone())],
                    Err(words) => vec![Action::Forget, Action::Say(words)],
                });
            }
            (Err(words), _) if held.last.is_some() || bench.message.as_ref().is_none_or(|own| own.words != words) => {
                actions.extend([Action::Forget, Action::Say(words)]);
            }
            (Ok(_), None) => actions.push(Action::Forget),
            (Err(_), _) => {}
        }
        held.last = edit;
    }
    ui.data_mut(|data| data.insert_temp(id, held));
    let (top, bottom) = (stand.place.top() - 3.0, stand.place.bottom() + 3.0);
    ui.painter().line_segment([pos2(pointer.x, top), pos2(pointer.x, bottom)], Stroke::new(1.5, LIGHT));
}

fn stood(rail: &Drawn<'_>) -> Rail {
    let of = |stand: &Stand| Stood {
        at: stand.at,
        member: stand.member.clone(),
        siding: stand.siding,
        x: stand.place.center().x,
    };
    Rail {
        candidate: rail.row.candidate.to_string(),
        top: rail.line.top(),
        bottom: rail.line.bottom(),
        siding_from: rail.siding_from,
        stands: rail.stands.iter().map(of).collect(),
    }
}

fn candidate_of(edit: &Edit) -> Option<&str> {
    match edit {
        Edit::Move { candidate, .. } | Edit::Insert { candidate, .. } => Some(candidate),
        _ => None,
    }
}

/// What a pointer asks for; nothing where the carriage stands there already.
fn asked(held: &Held, candidate: &str, own: &Stand, pointer: Pos2) -> Result<Option<Edit>, String> {
    let over = held.rails.iter().find(|rail| (rail.top..=rail.bottom).contains(&pointer.y));
    let Some(rail) = over.or_else(|| held.rails.iter().find(|rail| rail.candidate == candidate)) else {
        return Ok(None);
    };
    let across = rail.candidate != candidate;
    if across && rail.stands.iter().any(|stood| stood.member == own.member) {
        return Err(format!("{} stands on {} already; drag it along there", own.member, rail.candidate));
    }
    let siding = pointer.y >= rail.siding_from && rail.stands.iter().any(|stood| stood.siding);
    let lane: Vec<&Stood> = rail.stands.iter().filter(|stood| stood.siding == siding).collect();
    let others: Vec<(NodeIndex, f32)> =
        lane.iter().filter(|stood| across || stood.at != own.at).map(|stood| (stood.at, stood.x)).collect();
    let to = others.iter().filter(|(_, x)| *x < pointer.x).count();
    let Some(spot) = spot(&others.iter().map(|(at, _)| *at).collect::<Vec<_>>(), siding, to) else { return Ok(None) };
    if across {
        let place = Place::of(own.member.clone());
        return Ok(Some(Edit::Insert { candidate: rail.candidate.clone(), place, spot }));
    }
    let stands = lane.iter().position(|stood| stood.at == own.at);
    let there = stands == Some(to);
    Ok((!there).then(|| Edit::Move { candidate: candidate.to_string(), at: own.at, spot }))
}

/// The spot behind so many of the others on a track.
fn spot(others: &[NodeIndex], siding: bool, to: usize) -> Option<Spot> {
    match to.checked_sub(1) {
        Some(before) => others.get(before).map(|at| Spot::After(*at)),
        // A siding begins where it leaves the rail, and not at the original.
        None if siding => others.first().map(|at| Spot::Into(*at, Input::Main)),
        None => Some(Spot::First),
    }
}

/// The edit that moves a carriage by one along its track; none at the end of it.
pub fn by_one(rail: &Drawn<'_>, own: &Stand, forth: bool) -> Option<Edit> {
    let lane: Vec<NodeIndex> =
        rail.stands.iter().filter(|stand| stand.siding == own.siding).map(|stand| stand.at).collect();
    let from = lane.iter().position(|at| *at == own.at)?;
    let to = if forth { from + 1 } else { from.checked_sub(1)? };
    let others: Vec<NodeIndex> = lane.iter().copied().filter(|at| *at != own.at).collect();
    if to > others.len() {
        return None;
    }
    let spot = spot(&others, own.siding, to)?;
    Some(Edit::Move { candidate: rail.row.candidate.to_string(), at: own.at, spot })
}
