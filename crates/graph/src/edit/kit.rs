//! Edits of the kit.

use ops::Op;
use petgraph::stable_graph::NodeIndex;

use super::{Edit, EditError};
use crate::document::is_name;
use crate::{Document, LayerAt, Numbers, Wiring};

impl Document {
    pub(super) fn restore_member(
        &mut self,
        member: &str,
        op: &Op,
        numbers: &[(LayerAt, Numbers)],
    ) -> Result<Edit, EditError> {
        if self.kit.contains_key(member) {
            return Err(EditError::MemberExists(member.to_string()));
        }
        if !is_name(member) {
            return Err(EditError::Name(member.to_string()));
        }
        op.check().map_err(|source| EditError::Setting { member: member.to_string(), source })?;
        for (at, _) in numbers {
            self.any_layer(at)?;
        }
        for (at, numbers) in numbers {
            self.any_layer(at)?.give(member, numbers.clone());
        }
        self.kit.insert(member.to_string(), op.clone());
        Ok(Edit::RemoveMember { member: member.to_string() })
    }

    pub(super) fn remove_member(&mut self, member: &str) -> Result<Edit, EditError> {
        let uses = |wiring: &Wiring| wiring.graph().node_weights().any(|place| place.member == member);
        if let Some((candidate, _)) = self.candidates.iter().find(|(_, wiring)| uses(wiring)) {
            return Err(EditError::Used { member: member.to_string(), candidate: candidate.clone() });
        }
        let op = self.kit.remove(member).ok_or_else(|| EditError::NoMember(member.to_string()))?;
        let numbers = self.numbers_of(member);
        for (at, _) in &numbers {
            self.any_layer(at)?.take(member);
        }
        let member = member.to_string();
        Ok(if numbers.is_empty() {
            Edit::AddMember { member, op }
        } else {
            Edit::RestoreMember { member, op, numbers }
        })
    }

    pub(super) fn set(&mut self, member: &str, key: &str, value: &str) -> Result<Edit, EditError> {
        let op = self.kit.get_mut(member).ok_or_else(|| EditError::NoMember(member.to_string()))?;
        let old = op.get(key);
        op.set(key, value).map_err(|source| EditError::Setting { member: member.to_string(), source })?;
        Ok(Edit::Set { member: member.to_string(), key: key.to_string(), value: old.unwrap_or_default() })
    }

    /// The place gets a copy under a free name; what the layers say of the member they say of the copy too, so that no
    /// shot changes.
    pub(super) fn detach(&mut self, candidate: &str, at: NodeIndex) -> Result<Edit, EditError> {
        let no_place = || EditError::NoPlace { candidate: candidate.to_string(), at: at.index() };
        let member = self.wiring(candidate)?.graph().node_weight(at).ok_or_else(no_place)?.member.clone();
        let places = self.candidates.values().flat_map(|wiring| wiring.graph().node_weights());
        if places.filter(|place| place.member == member).count() < 2 {
            return Err(EditError::OwnAlready { candidate: candidate.to_string(), at: at.index(), member });
        }
        let op = self.kit.get(&member).ok_or_else(|| EditError::NoMember(member.clone()))?.clone();
        let mut wiring = self.wiring(candidate)?.clone();
        let copy = self.free_name(&member);
        if let Some(place) = wiring.graph_mut().node_weight_mut(at) {
            place.member.clone_from(&copy);
        }
        let numbers = self.numbers_of(&member);
        let wiring = Some(wiring);
        self.many(&[
            Edit::RestoreMember { member: copy, op, numbers },
            Edit::Rewire { candidate: candidate.to_string(), wiring },
        ])
    }

    /// What every layer says of a member, where it says something.
    fn numbers_of(&self, member: &str) -> Vec<(LayerAt, Numbers)> {
        let layers = self.every_layer().into_iter();
        layers.filter_map(|(at, layer)| Some((at, layer.members().get(member)?.clone()))).collect()
    }

    /// `exposure-2` for `exposure`, or the next number that is free.
    fn free_name(&self, member: &str) -> String {
        let stem = match member.rsplit_once('-') {
            Some((stem, number)) if !stem.is_empty() && number.parse::<u32>().is_ok() => stem,
            _ => member,
        };
        let names = (2u64..).map(|number| format!("{stem}-{number}"));
        names.filter(|name| !self.kit.contains_key(name)).take(1).collect()
    }
}
