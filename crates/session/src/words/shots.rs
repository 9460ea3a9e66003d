//! Edits of shots and set-ups in words.

use std::path::Path;

use graph::{Edit, SetUp, Shot, State};
use ops::Setting;

use super::phrase::Phrase;
use super::{Reader, joined};
use crate::paths;

impl Reader<'_> {
    /// `shots=A,B`, or `shots=*` for all.
    pub(super) fn shots_named(&self, phrase: &mut Phrase) -> Result<Option<Vec<String>>, String> {
        Ok(phrase
            .list("shots")?
            .map(|shots| if shots == ["*"] { self.document.shots.keys().cloned().collect() } else { shots }))
    }

    fn each(&self, phrase: &mut Phrase, edit: impl Fn(String) -> Edit) -> Result<Edit, String> {
        let shots = self.shots_named(phrase)?.ok_or("shots= is missing")?;
        Ok(joined(shots.into_iter().map(edit).collect()))
    }

    pub(super) fn shot(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let name = phrase.name("the shot")?;
        let old = self.document.shots.get(&name);
        let mut shot = old.cloned().unwrap_or_default();
        match phrase.take("media") {
            Some(media) => shot.media = paths::written(&paths::whole(Path::new(&media)), &paths::whole(self.folder)),
            None if old.is_none() => return Err("media= is missing: where its frames are".to_string()),
            None => {}
        }
        let text = |phrase: &mut Phrase, key: &str, field: &mut Option<String>| {
            if let Some(value) = phrase.take(key) {
                *field = Some(value).filter(|value| !value.is_empty());
            }
        };
        text(phrase, "set-up", &mut shot.set_up);
        text(phrase, "roll", &mut shot.camera_roll);
        text(phrase, "encoding", &mut shot.encoding);
        value(phrase, "ei", &mut shot.exposure_index)?;
        value(phrase, "range", &mut shot.range)?;
        value(phrase, "camera-white", &mut shot.camera_white)?;
        value(phrase, "measuring-region", &mut shot.measuring_region)?;
        self.encoding_is_known(&shot)?;
        Ok(Edit::PutShot { shot: name, value: Some(shot) })
    }

    fn encoding_is_known(&self, shot: &Shot) -> Result<(), String> {
        let Some(name) = &shot.encoding else { return Ok(()) };
        self.book.find(name, None).map(drop).map_err(|error| error.to_string())
    }

    pub(super) fn set_up(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let set_up = phrase.name("the set-up")?;
        let mut value: SetUp = self.document.set_ups.get(&set_up).cloned().unwrap_or_default();
        if let Some(note) = phrase.take("note") {
            value.note = note;
        }
        Ok(Edit::PutSetUp { set_up, value: Some(value) })
    }

    pub(super) fn choose(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let candidate = phrase.take("candidate").filter(|name| !name.is_empty());
        self.each(phrase, |shot| Edit::Choose { shot, candidate: candidate.clone() })
    }

    pub(super) fn state(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let state = State::parse(&phrase.need("to")?)?;
        self.each(phrase, |shot| Edit::SetState { shot, state })
    }

    pub(super) fn lock(&self, phrase: &mut Phrase, locked: bool) -> Result<Edit, String> {
        self.each(phrase, |shot| Edit::SetLock { shot, locked })
    }

    pub(super) fn note(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let note = phrase.need("text")?;
        self.each(phrase, |shot| Edit::SetNote { shot, note: note.clone() })
    }

    pub(super) fn copy(&self, phrase: &mut Phrase) -> Result<Edit, String> {
        let from = phrase.need("from")?;
        let shots = self.shots_named(phrase)?.ok_or("shots= is missing")?;
        let members = phrase.list("members")?;
        self.document.carry(&from, &shots, members.as_deref(), self.book).map_err(|error| error.to_string())
    }
}

/// A value that may be taken back by the empty text.
fn value<T: Setting>(phrase: &mut Phrase, key: &str, field: &mut Option<T>) -> Result<(), String> {
    if let Some(text) = phrase.take(key) {
        *field = <Option<T> as Setting>::parse(&text).map_err(|reason| format!("{key}={text}: {reason}"))?;
    }
    Ok(())
}
