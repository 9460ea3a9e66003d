//! What an edit does, in words: the names of steps back.

use graph::{Edit, LayerAt};

/// An edit in a few words.
pub fn name_of(edit: &Edit) -> String {
    match edit {
        Edit::AddMember { member, .. } | Edit::RestoreMember { member, .. } => format!("add {member} to the kit"),
        Edit::RemoveMember { member } => format!("take {member} out of the kit"),
        Edit::Set { member, key, value } => format!("{member} {key}={value}"),
        Edit::Insert { candidate, place, .. } => format!("insert {} in {candidate}", place.member),
        Edit::Remove { candidate, at } => format!("remove place {} of {candidate}", at.index()),
        Edit::Move { candidate, at, .. } => format!("move place {} of {candidate}", at.index()),
        Edit::Branch { candidate, place, .. } => format!("branch {candidate} through {}", place.member),
        Edit::Bypass { candidate, at, bypass: true } => format!("go past place {} of {candidate}", at.index()),
        Edit::Bypass { candidate, at, bypass: false } => format!("go through place {} of {candidate}", at.index()),
        Edit::SetDomain { candidate, at, domain } => {
            let domain = domain.map_or("at home".to_string(), |domain| format!("in {domain}"));
            format!("place {} of {candidate} {domain}", at.index())
        }
        Edit::Detach { candidate, at } => format!("detach place {} of {candidate}", at.index()),
        Edit::AddCandidate { candidate, .. } => format!("add candidate {candidate}"),
        Edit::CopyCandidate { candidate, to } => format!("copy candidate {candidate} to {to}"),
        Edit::RenameCandidate { candidate, to } => format!("rename candidate {candidate} to {to}"),
        Edit::Rewire { candidate, wiring: Some(_) } => format!("wire candidate {candidate}"),
        Edit::Rewire { candidate, wiring: None } => format!("drop candidate {candidate}"),
        Edit::PutSetUp { set_up, value: Some(_) } => format!("set-up {set_up}"),
        Edit::PutSetUp { set_up, value: None } => format!("drop set-up {set_up}"),
        Edit::PutShot { shot, value: Some(_) } => format!("shot {shot}"),
        Edit::PutShot { shot, value: None } => format!("drop shot {shot}"),
        Edit::SetState { shot, state } => format!("{shot} is {}", state.name()),
        Edit::SetLock { shot, locked: true } => format!("lock {shot}"),
        Edit::SetLock { shot, locked: false } => format!("unlock {shot}"),
        Edit::SetNote { shot, .. } => format!("note of {shot}"),
        Edit::Choose { shot, candidate: Some(candidate) } => format!("{candidate} for {shot}"),
        Edit::Choose { shot, candidate: None } => format!("no candidate for {shot}"),
        Edit::SetBase { layer, member, field, value } => {
            format!("{member} {field} {} for {}", or_none(value), whose(layer))
        }
        Edit::SetTrim { layer, member, field, value } => {
            format!("trim {member} {field} {} for {}", or_none(value), whose(layer))
        }
        Edit::SetMark { shot, member, field, frame, value } => {
            format!("mark {member} {field} {} at {frame} of {shot}", or_none(value))
        }
        Edit::PutNumbers { layer, member, .. } => format!("numbers of {member} for {}", whose(layer)),
        Edit::Nudge { shots, member, field, by } => {
            let shots = if let [one] = &shots[..] { one.clone() } else { format!("{} shots", shots.len()) };
            format!("nudge {member} {field} by {by} for {shots}")
        }
        Edit::Many(edits) => match &edits[..] {
            [] => "nothing".to_string(),
            [one] => name_of(one),
            [first, rest @ ..] => format!("{} and {} more", name_of(first), rest.len()),
        },
    }
}

fn or_none(value: &Option<String>) -> &str {
    value.as_deref().unwrap_or("none")
}

fn whose(layer: &LayerAt) -> &str {
    match layer {
        LayerAt::Scene => "the scene",
        LayerAt::SetUp(name) | LayerAt::Shot(name) => name,
    }
}
