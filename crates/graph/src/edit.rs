//! Edits are values: each is applied as a whole or not at all, and gives the edit that undoes it exactly.

use ops::{Domain, Op, SettingError};
use petgraph::stable_graph::NodeIndex;

use crate::{Document, Place, Spot, Wiring, WiringError};

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
    /// Takes an operation that no candidate uses out of the kit.
    RemoveMember {
        /// Its name.
        member: String,
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
    /// Replaces a candidate's wiring, or removes the candidate.
    Rewire {
        /// The candidate.
        candidate: String,
        /// The wiring; none removes the candidate.
        wiring: Option<Wiring>,
    },
}

/// Why an edit was refused. The document is unchanged.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum EditError {
    /// No such member.
    #[error("'{0}' is not in the kit")]
    NoMember(String),
    /// A member of that name exists.
    #[error("'{0}' is in the kit already; choose another name")]
    MemberExists(String),
    /// A candidate still uses the member.
    #[error("'{member}' is used by candidate '{candidate}'; take it out there first")]
    Used {
        /// The member.
        member: String,
        /// Who uses it.
        candidate: String,
    },
    /// A setting was refused.
    #[error("{member}: {source}")]
    Setting {
        /// The member.
        member: String,
        /// Why.
        source: SettingError,
    },
    /// No such candidate.
    #[error("there is no candidate '{0}'")]
    NoCandidate(String),
    /// No such place.
    #[error("candidate '{candidate}' has no place {at}")]
    NoPlace {
        /// The candidate.
        candidate: String,
        /// The index asked for.
        at: usize,
    },
    /// A place cannot stand behind itself.
    #[error("a place cannot be moved behind or into itself")]
    BehindItself,
    /// The wiring would have no order of work.
    #[error(transparent)]
    Wiring(#[from] WiringError),
}

impl Document {
    /// Applies an edit and gives the one that undoes it exactly.
    ///
    /// # Errors
    /// What the edit names is not there, or a value is refused; the document is then unchanged.
    pub fn apply(&mut self, edit: &Edit) -> Result<Edit, EditError> {
        match edit {
            Edit::AddMember { member, op } => self.add_member(member, op),
            Edit::RemoveMember { member } => self.remove_member(member),
            Edit::Set { member, key, value } => self.set(member, key, value),
            Edit::Rewire { candidate, wiring } => self.rewire(candidate, wiring.clone()),
            Edit::Insert { candidate, place, spot } => {
                if !self.kit.contains_key(&place.member) {
                    return Err(EditError::NoMember(place.member.clone()));
                }
                self.change(candidate, |wiring, known| {
                    known(wiring, spot.place())?;
                    wiring.insert(place.clone(), *spot);
                    Ok(())
                })
            }
            Edit::Remove { candidate, at } => self.change(candidate, |wiring, known| {
                known(wiring, Some(*at))?;
                wiring.remove(*at);
                Ok(())
            }),
            Edit::Move { candidate, at, spot } => self.change(candidate, |wiring, known| {
                known(wiring, Some(*at))?;
                known(wiring, spot.place())?;
                if spot.place() == Some(*at) {
                    return Err(EditError::BehindItself);
                }
                wiring.move_to(*at, *spot);
                Ok(())
            }),
            Edit::Bypass { candidate, at, bypass } => self.change(candidate, |wiring, known| {
                known(wiring, Some(*at))?;
                wiring.graph_mut()[*at].bypass = *bypass;
                Ok(())
            }),
            Edit::SetDomain { candidate, at, domain } => self.change(candidate, |wiring, known| {
                known(wiring, Some(*at))?;
                wiring.graph_mut()[*at].domain = *domain;
                Ok(())
            }),
        }
    }

    fn add_member(&mut self, member: &str, op: &Op) -> Result<Edit, EditError> {
        if self.kit.contains_key(member) {
            return Err(EditError::MemberExists(member.to_string()));
        }
        op.check().map_err(|source| EditError::Setting { member: member.to_string(), source })?;
        self.kit.insert(member.to_string(), op.clone());
        Ok(Edit::RemoveMember { member: member.to_string() })
    }

    fn remove_member(&mut self, member: &str) -> Result<Edit, EditError> {
        let uses = |wiring: &Wiring| wiring.graph().node_weights().any(|place| place.member == member);
        if let Some((candidate, _)) = self.candidates.iter().find(|(_, wiring)| uses(wiring)) {
            return Err(EditError::Used { member: member.to_string(), candidate: candidate.clone() });
        }
        let op = self.kit.remove(member).ok_or_else(|| EditError::NoMember(member.to_string()))?;
        Ok(Edit::AddMember { member: member.to_string(), op })
    }

    fn set(&mut self, member: &str, key: &str, value: &str) -> Result<Edit, EditError> {
        let op = self.kit.get_mut(member).ok_or_else(|| EditError::NoMember(member.to_string()))?;
        let old = op.get(key);
        op.set(key, value).map_err(|source| EditError::Setting { member: member.to_string(), source })?;
        Ok(Edit::Set { member: member.to_string(), key: key.to_string(), value: old.unwrap_or_default() })
    }

    fn rewire(&mut self, candidate: &str, wiring: Option<Wiring>) -> Result<Edit, EditError> {
        if let Some(wiring) = &wiring {
            wiring.in_order()?;
            if let Some(place) = wiring.graph().node_weights().find(|place| !self.kit.contains_key(&place.member)) {
                return Err(EditError::NoMember(place.member.clone()));
            }
        }
        let old = match wiring {
            Some(wiring) => self.candidates.insert(candidate.to_string(), wiring),
            None => {
                Some(self.candidates.remove(candidate).ok_or_else(|| EditError::NoCandidate(candidate.to_string()))?)
            }
        };
        Ok(Edit::Rewire { candidate: candidate.to_string(), wiring: old })
    }

    /// Works on a copy of a candidate's wiring and keeps it if it has an order; undoing puts the old one back.
    fn change(
        &mut self,
        candidate: &str,
        work: impl FnOnce(
            &mut Wiring,
            &dyn Fn(&Wiring, Option<NodeIndex>) -> Result<(), EditError>,
        ) -> Result<(), EditError>,
    ) -> Result<Edit, EditError> {
        let old = self.candidates.get(candidate).ok_or_else(|| EditError::NoCandidate(candidate.to_string()))?;
        let known = |wiring: &Wiring, at: Option<NodeIndex>| match at {
            Some(at) if !wiring.graph().contains_node(at) => {
                Err(EditError::NoPlace { candidate: candidate.to_string(), at: at.index() })
            }
            _ => Ok(()),
        };
        let mut new = old.clone();
        work(&mut new, &known)?;
        new.in_order()?;
        let old = self.candidates.insert(candidate.to_string(), new);
        Ok(Edit::Rewire { candidate: candidate.to_string(), wiring: old })
    }
}
