//! Edits are values: each is applied as a whole or not at all, and gives the edit that undoes it exactly.
//!
//! A locked shot refuses every edit that is directed at it, unlocking excepted. Edits of the kit, of candidates, of the
//! scene and of set-ups still apply, and the picture of a locked shot follows them.

mod candidates;
mod error;
mod kit;
mod numbers;
mod shots;

pub use error::EditError;

use std::collections::BTreeSet;

use ops::{Domain, Op};
use petgraph::stable_graph::NodeIndex;

use crate::{Document, LayerAt, Numbers, Place, ResolveError, SetUp, Shot, Spot, State, Wiring};

/// One change of a document.
#[derive(Debug, Clone, PartialEq)]
pub enum Edit {
    /// Puts an operation into the kit.
    AddMember {
        /// Its name.
        member: String,
        /// The operation.
        op: Op,
    },
    /// Takes an operation that no candidate uses out of the kit, and what the layers say of it.
    RemoveMember {
        /// Its name.
        member: String,
    },
    /// Puts an operation into the kit with what the layers say of it; in those of locked shots too.
    RestoreMember {
        /// Its name.
        member: String,
        /// The operation.
        op: Op,
        /// The numbers by layer.
        numbers: Vec<(LayerAt, Numbers)>,
    },
    /// Changes one setting, in every candidate that uses the member.
    Set {
        /// The member.
        member: String,
        /// The setting.
        key: String,
        /// The value as text.
        value: String,
    },
    /// Puts a member at a spot.
    Insert {
        /// The candidate.
        candidate: String,
        /// What is put there.
        place: Place,
        /// Where.
        spot: Spot,
    },
    /// Takes a place out; what fed it feeds what it fed.
    Remove {
        /// The candidate.
        candidate: String,
        /// The place.
        at: NodeIndex,
    },
    /// Moves a place to another spot: a change of order is one edit.
    Move {
        /// The candidate.
        candidate: String,
        /// The place.
        at: NodeIndex,
        /// Where.
        spot: Spot,
    },
    /// Leads a siding through a place and joins it again by a mix.
    Branch {
        /// The candidate.
        candidate: String,
        /// What stands on the siding.
        place: Place,
        /// The place that the siding leaves from; the original, if none.
        from: Option<NodeIndex>,
        /// The mix that joins it.
        mix: Place,
        /// Where it joins.
        join: Spot,
    },
    /// Lets the picture go past a place, or through it again.
    Bypass {
        /// The candidate.
        candidate: String,
        /// The place.
        at: NodeIndex,
        /// Past it or through it.
        bypass: bool,
    },
    /// Chooses where a place works; none is at home.
    SetDomain {
        /// The candidate.
        candidate: String,
        /// The place.
        at: NodeIndex,
        /// The domain.
        domain: Option<Domain>,
    },
    /// Gives a place a kit member of its own, with the settings and the numbers of the one that it shared.
    Detach {
        /// The candidate.
        candidate: String,
        /// The place.
        at: NodeIndex,
    },
    /// Adds a candidate.
    AddCandidate {
        /// Its name, a new one.
        candidate: String,
        /// Its wiring.
        wiring: Wiring,
    },
    /// Adds a candidate wired like another one.
    CopyCandidate {
        /// The one there is.
        candidate: String,
        /// The name of the new one.
        to: String,
    },
    /// Gives a candidate another name; shots that have chosen it follow, locked ones too.
    RenameCandidate {
        /// Its name.
        candidate: String,
        /// Its new name.
        to: String,
    },
    /// Replaces a candidate's wiring, or removes a candidate that no shot has chosen.
    Rewire {
        /// The candidate.
        candidate: String,
        /// The wiring; none removes the candidate.
        wiring: Option<Wiring>,
    },
    /// Adds or replaces a set-up, or removes one that no shot belongs to.
    PutSetUp {
        /// Its name.
        set_up: String,
        /// The set-up; none removes it.
        value: Option<SetUp>,
    },
    /// Adds, replaces or removes a shot.
    PutShot {
        /// Its name.
        shot: String,
        /// The shot; none removes it.
        value: Option<Shot>,
    },
    /// Says how far the work on a shot has come.
    SetState {
        /// The shot.
        shot: String,
        /// How far.
        state: State,
    },
    /// Locks a shot or unlocks it.
    SetLock {
        /// The shot.
        shot: String,
        /// Locked or not.
        locked: bool,
    },
    /// Replaces the note of a shot.
    SetNote {
        /// The shot.
        shot: String,
        /// The note.
        note: String,
    },
    /// Chooses a candidate for a shot, or none.
    Choose {
        /// The shot.
        shot: String,
        /// The candidate.
        candidate: Option<String>,
    },
    /// Says what stands in place of the kit's setting. The trims stay.
    SetBase {
        /// Whose.
        layer: LayerAt,
        /// The member.
        member: String,
        /// The setting.
        field: String,
        /// The value as text; none takes it back.
        value: Option<String>,
    },
    /// Says what is added on top of a setting.
    SetTrim {
        /// Whose.
        layer: LayerAt,
        /// The member.
        member: String,
        /// The setting.
        field: String,
        /// The trim as text; none takes it back.
        value: Option<String>,
    },
    /// Says what a setting is at a frame of a shot.
    SetMark {
        /// The shot.
        shot: String,
        /// The member.
        member: String,
        /// The setting.
        field: String,
        /// The frame, as its file is numbered.
        frame: i64,
        /// The value as text; none takes the mark away.
        value: Option<String>,
    },
    /// Replaces all that a layer says of a member.
    PutNumbers {
        /// Whose.
        layer: LayerAt,
        /// The member.
        member: String,
        /// The numbers; none of them takes all back.
        numbers: Numbers,
    },
    /// Adds an amount to the trims of many shots. A shot named twice is moved once.
    Nudge {
        /// The shots.
        shots: Vec<String>,
        /// The member.
        member: String,
        /// The setting.
        field: String,
        /// The amount, as a trim is written.
        by: String,
    },
    /// Several edits as one, in their order. Layers are held to the hard ranges when all are done.
    Many(Vec<Edit>),
}

/// What of the layers an edit may have changed.
#[derive(PartialEq, Eq, PartialOrd, Ord)]
enum Touched<'a> {
    Everything,
    Member(&'a str),
    Field(&'a str, &'a str),
    Shot(&'a str),
    ShotField(&'a str, &'a str, &'a str),
}

impl Edit {
    fn touched<'a>(&'a self, into: &mut BTreeSet<Touched<'a>>) {
        match self {
            Self::Many(edits) => edits.iter().for_each(|edit| edit.touched(into)),
            Self::PutSetUp { .. } | Self::RestoreMember { .. } => {
                into.insert(Touched::Everything);
            }
            Self::PutShot { shot, .. } | Self::PutNumbers { layer: LayerAt::Shot(shot), .. } => {
                into.insert(Touched::Shot(shot));
            }
            Self::PutNumbers { member, .. } => {
                into.insert(Touched::Member(member));
            }
            Self::SetBase { layer: LayerAt::Shot(shot), member, field, .. }
            | Self::SetTrim { layer: LayerAt::Shot(shot), member, field, .. }
            | Self::SetMark { shot, member, field, .. } => {
                into.insert(Touched::ShotField(shot, member, field));
            }
            Self::Nudge { shots, member, field, .. } => {
                into.extend(shots.iter().map(|shot| Touched::ShotField(shot, member, field)));
            }
            Self::Set { member, key: field, .. }
            | Self::SetBase { member, field, .. }
            | Self::SetTrim { member, field, .. } => {
                into.insert(Touched::Field(member, field));
            }
            _ => {}
        }
    }
}

impl Document {
    /// Applies an edit and gives the one that undoes it exactly.
    ///
    /// # Errors
    /// What the edit names is not there or is locked, or a value is refused; the document is then unchanged.
    pub fn apply(&mut self, edit: &Edit) -> Result<Edit, EditError> {
        let undo = self.perform(edit)?;
        match self.check_touched(edit) {
            Ok(()) => Ok(undo),
            // What was just done can be undone.
            Err(error) => self.perform(&undo).and(Err(error.into())),
        }
    }

    fn check_touched(&self, edit: &Edit) -> Result<(), ResolveError> {
        let mut touched = BTreeSet::new();
        edit.touched(&mut touched);
        if touched.contains(&Touched::Everything) {
            return self.check_layers();
        }
        touched.into_iter().try_for_each(|touched| match touched {
            Touched::Field(member, field) => self.check_field(member, field),
            Touched::Member(member) => self.check_member(member),
            // An edit after it, of the same Many, may have taken it out.
            Touched::Shot(shot) | Touched::ShotField(shot, ..) if !self.shots.contains_key(shot) => Ok(()),
            Touched::Shot(shot) => self.check_shot(shot),
            Touched::ShotField(shot, member, field) => self.check_shot_field(shot, member, field),
            Touched::Everything => Ok(()),
        })
    }

    /// Does what an edit says, whole or not at all; what comes out of the layers is not looked at.
    fn perform(&mut self, edit: &Edit) -> Result<Edit, EditError> {
        match edit {
            Edit::AddMember { member, op } => self.restore_member(member, op, &[]),
            Edit::RemoveMember { member } => self.remove_member(member),
            Edit::RestoreMember { member, op, numbers } => self.restore_member(member, op, numbers),
            Edit::Set { member, key, value } => self.set(member, key, value),
            Edit::Insert { candidate, place, spot } => self.insert(candidate, place, *spot),
            Edit::Remove { candidate, at } => self.remove(candidate, *at),
            Edit::Move { candidate, at, spot } => self.move_place(candidate, *at, *spot),
            Edit::Branch { candidate, place, from, mix, join } => self.branch(candidate, place, *from, mix, *join),
            Edit::Bypass { candidate, at, bypass } => self.change_place(candidate, *at, |place| place.bypass = *bypass),
            Edit::SetDomain { candidate, at, domain } => {
                self.change_place(candidate, *at, |place| place.domain = *domain)
            }
            Edit::Detach { candidate, at } => self.detach(candidate, *at),
            Edit::AddCandidate { candidate, wiring } => self.add_candidate(candidate, wiring.clone()),
            Edit::CopyCandidate { candidate, to } => self.add_candidate(to, self.wiring(candidate)?.clone()),
            Edit::RenameCandidate { candidate, to } => self.rename_candidate(candidate, to),
            Edit::Rewire { candidate, wiring } => self.rewire(candidate, wiring.clone()),
            Edit::PutSetUp { set_up, value } => self.put_set_up(set_up, value.clone()),
            Edit::PutShot { shot, value } => self.put_shot(shot, value.clone()),
            Edit::SetState { shot, state } => self.set_state(shot, *state),
            Edit::SetLock { shot, locked } => self.set_lock(shot, *locked),
            Edit::SetNote { shot, note } => self.set_note(shot, note),
            Edit::Choose { shot, candidate } => self.choose(shot, candidate.clone()),
            Edit::SetBase { layer, member, field, value } => self.set_base(layer, member, field, value.clone()),
            Edit::SetTrim { layer, member, field, value } => self.set_trim(layer, member, field, value.clone()),
            Edit::SetMark { shot, member, field, frame, value } => {
                self.set_mark(shot, member, field, *frame, value.clone())
            }
            Edit::PutNumbers { layer, member, numbers } => self.put_numbers(layer, member, numbers.clone()),
            Edit::Nudge { shots, member, field, by } => self.nudge(shots, member, field, by),
            Edit::Many(edits) => self.many(edits),
        }
    }

    fn many(&mut self, edits: &[Edit]) -> Result<Edit, EditError> {
        let mut undo = Vec::with_capacity(edits.len());
        for edit in edits {
            match self.perform(edit) {
                Ok(back) => undo.push(back),
                Err(error) => {
                    for back in undo.iter().rev() {
                        self.perform(back)?;
                    }
                    return Err(error);
                }
            }
        }
        undo.reverse();
        Ok(Edit::Many(undo))
    }
}
