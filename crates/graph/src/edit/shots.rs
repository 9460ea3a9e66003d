//! Edits of shots and set-ups.

use super::{Edit, EditError};
use crate::document::is_name;
use crate::{Document, SetUp, Shot, State};

impl Document {
    /// A shot that may be edited.
    pub(super) fn unlocked(&mut self, name: &str) -> Result<&mut Shot, EditError> {
        match self.shots.get_mut(name) {
            None => Err(EditError::NoShot(name.to_string())),
            Some(shot) if shot.locked => Err(EditError::Locked(name.to_string())),
            Some(shot) => Ok(shot),
        }
    }

    pub(super) fn put_set_up(&mut self, name: &str, value: Option<SetUp>) -> Result<Edit, EditError> {
        let old = match value {
            Some(_) if !is_name(name) => return Err(EditError::Name(name.to_string())),
            Some(value) => self.set_ups.insert(name.to_string(), value),
            None => {
                let belongs = |(_, shot): &(_, &Shot)| shot.set_up.as_deref() == Some(name);
                if let Some((shot, _)) = self.shots.iter().find(belongs) {
                    return Err(EditError::Inhabited { set_up: name.to_string(), shot: shot.clone() });
                }
                let old = self.set_ups.remove(name);
                Some(old.ok_or_else(|| EditError::NoSetUp(name.to_string()))?)
            }
        };
        Ok(Edit::PutSetUp { set_up: name.to_string(), value: old })
    }

    pub(super) fn put_shot(&mut self, name: &str, value: Option<Shot>) -> Result<Edit, EditError> {
        if self.shots.get(name).is_some_and(|shot| shot.locked) {
            return Err(EditError::Locked(name.to_string()));
        }
        let Some(value) = value else {
            let old = self.shots.remove(name).ok_or_else(|| EditError::NoShot(name.to_string()))?;
            return Ok(Edit::PutShot { shot: name.to_string(), value: Some(old) });
        };
        if !is_name(name) {
            return Err(EditError::Name(name.to_string()));
        }
        if let Some(set_up) = value.set_up.as_ref().filter(|&set_up| !self.set_ups.contains_key(set_up)) {
            return Err(EditError::NoSetUp(set_up.clone()));
        }
        self.known_candidate(value.candidate.as_deref())?;
        let locked = value.locked;
        let old = self.shots.insert(name.to_string(), value);
        let back = Edit::PutShot { shot: name.to_string(), value: old };
        // What comes in locked must be unlocked to go again.
        let unlock = Edit::SetLock { shot: name.to_string(), locked: false };
        Ok(if locked { Edit::Many(vec![unlock, back]) } else { back })
    }

    pub(super) fn set_state(&mut self, name: &str, state: State) -> Result<Edit, EditError> {
        let old = std::mem::replace(&mut self.unlocked(name)?.state, state);
        Ok(Edit::SetState { shot: name.to_string(), state: old })
    }

    pub(super) fn set_lock(&mut self, name: &str, locked: bool) -> Result<Edit, EditError> {
        let shot = self.shots.get_mut(name).ok_or_else(|| EditError::NoShot(name.to_string()))?;
        let old = std::mem::replace(&mut shot.locked, locked);
        Ok(Edit::SetLock { shot: name.to_string(), locked: old })
    }

    pub(super) fn set_note(&mut self, name: &str, note: &str) -> Result<Edit, EditError> {
        let old = std::mem::replace(&mut self.unlocked(name)?.note, note.to_string());
        Ok(Edit::SetNote { shot: name.to_string(), note: old })
    }

    pub(super) fn choose(&mut self, name: &str, candidate: Option<String>) -> Result<Edit, EditError> {
        self.known_candidate(candidate.as_deref())?;
        let old = std::mem::replace(&mut self.unlocked(name)?.candidate, candidate);
        Ok(Edit::Choose { shot: name.to_string(), candidate: old })
    }

    fn known_candidate(&self, candidate: Option<&str>) -> Result<(), EditError> {
        candidate.map_or(Ok(()), |candidate| self.wiring(candidate).map(|_| ()))
    }
}
