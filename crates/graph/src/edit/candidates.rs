//! Edits of candidates.

use ops::Op;
use petgraph::stable_graph::NodeIndex;

use super::{Edit, EditError};
use crate::document::is_name;
use crate::{Document, Place, Spot, Wiring};

impl Document {
    pub(super) fn wiring(&self, candidate: &str) -> Result<&Wiring, EditError> {
        self.candidates.get(candidate).ok_or_else(|| EditError::NoCandidate(candidate.to_string()))
    }

    pub(super) fn insert(&mut self, candidate: &str, place: &Place, spot: Spot) -> Result<Edit, EditError> {
        self.in_kit(place)?;
        self.change(candidate, &[spot.place()], |wiring| {
            wiring.insert(place.clone(), spot);
        })
    }

    pub(super) fn remove(&mut self, candidate: &str, at: NodeIndex) -> Result<Edit, EditError> {
        self.change(candidate, &[Some(at)], |wiring| wiring.remove(at))
    }

    pub(super) fn move_place(&mut self, candidate: &str, at: NodeIndex, spot: Spot) -> Result<Edit, EditError> {
        if spot.place() == Some(at) {
            return Err(EditError::BehindItself);
        }
        self.change(candidate, &[Some(at), spot.place()], |wiring| wiring.move_to(at, spot))
    }

    pub(super) fn branch(
        &mut self,
        candidate: &str,
        place: &Place,
        from: Option<NodeIndex>,
        mix: &Place,
        join: Spot,
    ) -> Result<Edit, EditError> {
        self.in_kit(place)?;
        self.in_kit(mix)?;
        if !matches!(self.kit.get(&mix.member), Some(Op::Mix(_))) {
            return Err(EditError::NoMix(mix.member.clone()));
        }
        self.change(candidate, &[from, join.place()], |wiring| {
            wiring.branch(place.clone(), from, mix.clone(), join);
        })
    }

    pub(super) fn change_place(
        &mut self,
        candidate: &str,
        at: NodeIndex,
        work: impl FnOnce(&mut Place),
    ) -> Result<Edit, EditError> {
        self.change(candidate, &[Some(at)], |wiring| {
            if let Some(place) = wiring.graph_mut().node_weight_mut(at) {
                work(place);
            }
        })
    }

    pub(super) fn add_candidate(&mut self, candidate: &str, wiring: Wiring) -> Result<Edit, EditError> {
        if self.candidates.contains_key(candidate) {
            return Err(EditError::CandidateExists(candidate.to_string()));
        }
        self.rewire(candidate, Some(wiring))
    }

    pub(super) fn rename_candidate(&mut self, candidate: &str, to: &str) -> Result<Edit, EditError> {
        let wiring = self.wiring(candidate)?.clone();
        self.add_candidate(to, wiring)?;
        self.candidates.remove(candidate);
        for shot in self.shots.values_mut() {
            if shot.candidate.as_deref() == Some(candidate) {
                shot.candidate = Some(to.to_string());
            }
        }
        Ok(Edit::RenameCandidate { candidate: to.to_string(), to: candidate.to_string() })
    }

    pub(super) fn rewire(&mut self, candidate: &str, wiring: Option<Wiring>) -> Result<Edit, EditError> {
        let old = match wiring {
            Some(wiring) => {
                if !is_name(candidate) {
                    return Err(EditError::Name(candidate.to_string()));
                }
                wiring.in_order()?;
                wiring.graph().node_weights().try_for_each(|place| self.in_kit(place))?;
                self.candidates.insert(candidate.to_string(), wiring)
            }
            None => {
                let chosen = |(_, shot): &(_, &crate::Shot)| shot.candidate.as_deref() == Some(candidate);
                if let Some((shot, _)) = self.shots.iter().find(chosen) {
                    return Err(EditError::Chosen { candidate: candidate.to_string(), shot: shot.clone() });
                }
                let old = self.candidates.remove(candidate);
                Some(old.ok_or_else(|| EditError::NoCandidate(candidate.to_string()))?)
            }
        };
        Ok(Edit::Rewire { candidate: candidate.to_string(), wiring: old })
    }

    fn in_kit(&self, place: &Place) -> Result<(), EditError> {
        if self.kit.contains_key(&place.member) { Ok(()) } else { Err(EditError::NoMember(place.member.clone())) }
    }

    /// Works on a copy of a candidate's wiring, which must have the places told, and keeps it if it has an order;
    /// undoing puts the old one back.
    fn change(
        &mut self,
        candidate: &str,
        places: &[Option<NodeIndex>],
        work: impl FnOnce(&mut Wiring),
    ) -> Result<Edit, EditError> {
        let old = self.wiring(candidate)?;
        if let Some(at) = places.iter().flatten().find(|&&at| !old.graph().contains_node(at)) {
            return Err(EditError::NoPlace { candidate: candidate.to_string(), at: at.index() });
        }
        let mut new = old.clone();
        work(&mut new);
        new.in_order()?;
        let old = self.candidates.insert(candidate.to_string(), new);
        Ok(Edit::Rewire { candidate: candidate.to_string(), wiring: old })
    }
}
