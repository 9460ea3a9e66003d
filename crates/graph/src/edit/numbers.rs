//! Edits of the numbers in layers.

use std::collections::BTreeSet;

use super::{Edit, EditError};
use crate::{Document, Layer, LayerAt, Number, Numbers};

impl Document {
    pub(super) fn set_base(
        &mut self,
        at: &LayerAt,
        member: &str,
        field: &str,
        value: Option<String>,
    ) -> Result<Edit, EditError> {
        let old = self.change_number(at, member, field, |number| std::mem::replace(&mut number.base, value))?;
        let (layer, member, field) = (at.clone(), member.to_string(), field.to_string());
        Ok(Edit::SetBase { layer, member, field, value: old })
    }

    pub(super) fn set_trim(
        &mut self,
        at: &LayerAt,
        member: &str,
        field: &str,
        value: Option<String>,
    ) -> Result<Edit, EditError> {
        let old = self.change_number(at, member, field, |number| std::mem::replace(&mut number.trim, value))?;
        let (layer, member, field) = (at.clone(), member.to_string(), field.to_string());
        Ok(Edit::SetTrim { layer, member, field, value: old })
    }

    pub(super) fn set_mark(
        &mut self,
        shot: &str,
        member: &str,
        field: &str,
        frame: i64,
        value: Option<String>,
    ) -> Result<Edit, EditError> {
        let at = LayerAt::Shot(shot.to_string());
        let old = self.change_number(&at, member, field, |number| match value {
            Some(value) => number.marks.insert(frame, value),
            None => number.marks.remove(&frame),
        })?;
        let (shot, member, field) = (shot.to_string(), member.to_string(), field.to_string());
        Ok(Edit::SetMark { shot, member, field, frame, value: old })
    }

    pub(super) fn put_numbers(&mut self, at: &LayerAt, member: &str, numbers: Numbers) -> Result<Edit, EditError> {
        if !self.kit.contains_key(member) {
            return Err(EditError::NoMember(member.to_string()));
        }
        let layer = self.layer(at)?;
        let old = layer.take(member);
        layer.give(member, numbers);
        Ok(Edit::PutNumbers { layer: at.clone(), member: member.to_string(), numbers: old })
    }

    pub(super) fn nudge(&mut self, shots: &[String], member: &str, field: &str, by: &str) -> Result<Edit, EditError> {
        let op = self.kit.get(member).ok_or_else(|| EditError::NoMember(member.to_string()))?.clone();
        let mut edits = Vec::with_capacity(shots.len());
        for shot in shots.iter().collect::<BTreeSet<_>>() {
            let old = self.unlocked(shot)?.layer.number(member, field).and_then(|number| number.trim.as_deref());
            let trims: Vec<_> = old.into_iter().chain([by]).collect();
            let refuse = |source| EditError::Setting { member: format!("shot '{shot}', {member}"), source };
            let value = op.sum_of_trims(field, &trims).map_err(refuse)?.map(|trim| trim.print());
            let (layer, member, field) = (LayerAt::Shot(shot.clone()), member.to_string(), field.to_string());
            edits.push(Edit::SetTrim { layer, member, field, value });
        }
        self.many(&edits)
    }

    /// A layer that may be edited.
    fn layer(&mut self, at: &LayerAt) -> Result<&mut Layer, EditError> {
        match at {
            LayerAt::Shot(name) => Ok(&mut self.unlocked(name)?.layer),
            _ => self.any_layer(at),
        }
    }

    /// A layer, be its shot locked or not.
    pub(super) fn any_layer(&mut self, at: &LayerAt) -> Result<&mut Layer, EditError> {
        match at {
            LayerAt::Scene => Ok(&mut self.scene),
            LayerAt::SetUp(name) => match self.set_ups.get_mut(name) {
                Some(set_up) => Ok(&mut set_up.layer),
                None => Err(EditError::NoSetUp(name.clone())),
            },
            LayerAt::Shot(name) => match self.shots.get_mut(name) {
                Some(shot) => Ok(&mut shot.layer),
                None => Err(EditError::NoShot(name.clone())),
            },
        }
    }

    /// Changes what a layer says of one setting.
    fn change_number<T>(
        &mut self,
        at: &LayerAt,
        member: &str,
        field: &str,
        work: impl FnOnce(&mut Number) -> T,
    ) -> Result<T, EditError> {
        let op = self.kit.get(member).ok_or_else(|| EditError::NoMember(member.to_string()))?;
        if op.get(field).is_none() {
            let source = ops::settings::unknown_key(field, op.fields());
            return Err(EditError::Setting { member: member.to_string(), source });
        }
        let layer = self.layer(at)?;
        let mut number = layer.number(member, field).cloned().unwrap_or_default();
        let old = work(&mut number);
        layer.put(member, field, number);
        Ok(old)
    }
}
