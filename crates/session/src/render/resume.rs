//! What a render that was broken off left, and what of it can stay.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, PoisonError};
use std::{io, thread};

use media::{OutputPattern, Sequence};
use serde::Serialize;

use super::content::Content;
use super::meaning::Meaning;
use super::record::{Fact, facts};
use super::{Job, threads};
use crate::Fault;

/// How many frames were found in which state.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize)]
pub struct Found {
    /// Whole, made with the same settings of the same original: they stay.
    pub kept: usize,
    /// Not there.
    pub missing: usize,
    /// Other content than was written: damaged, cut short, or changed by somebody.
    pub damaged: usize,
    /// Made with other settings, or by another version of the program.
    pub other_settings: usize,
    /// Made of an original that has changed since, or is gone.
    pub other_original: usize,
    /// Of unknown making: no record tells of them.
    pub unrecorded: usize,
    /// What killed processes had left half written, taken away.
    pub swept: usize,
}

/// What is to be done about one frame.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum State {
    Kept,
    Missing,
    Damaged,
    OtherSettings,
    OtherOriginal,
    Unrecorded,
}

impl Found {
    fn count(&mut self, state: State) {
        *match state {
            State::Kept => &mut self.kept,
            State::Missing => &mut self.missing,
            State::Damaged => &mut self.damaged,
            State::OtherSettings => &mut self.other_settings,
            State::OtherOriginal => &mut self.other_original,
            State::Unrecorded => &mut self.unrecorded,
        } += 1;
    }

    /// For people.
    pub fn in_words(&self) -> String {
        let parts = [
            (self.kept, "there and whole"),
            (self.missing, "not there yet"),
            (self.damaged, "damaged"),
            (self.other_settings, "made with other settings"),
            (self.other_original, "made of another original"),
            (self.unrecorded, "of unknown making"),
        ];
        let parts: Vec<_> =
            parts.iter().filter(|(count, _)| *count > 0).map(|(count, what)| format!("{count} {what}")).collect();
        let swept = match self.swept {
            0 => String::new(),
            1 => "; 1 half-written file taken away".to_string(),
            more => format!("; {more} half-written files taken away"),
        };
        if parts.is_empty() { format!("no frames{swept}") } else { parts.join(", ") + &swept }
    }
}

/// Looks at what is there of a job's frames, and gives those that are still to be made. Files are told by what they
/// hold, never by their date: copies keep their content and not their dates.
///
/// # Errors
/// A chain that does not fit the frames.
pub fn resume(job: &Job<'_>, out: &OutputPattern, on_device: bool) -> Result<(Sequence, Found), Fault> {
    let swept = media::sweep(out.folder());
    let facts = facts(out.folder());
    // With no original that can be read, nothing can be said of settings; the frames then fail for that reason.
    let mut meaning = job.example.map(|example| Meaning::new(job, on_device, &example.about));
    let mut frames = Vec::with_capacity(job.sequence.frames().len());
    for (number, original) in job.sequence.frames() {
        let target = out.path_for(*number);
        let name = target.file_name().and_then(|name| name.to_str()).unwrap_or_default();
        let known = facts.get(name).map_or(&[][..], Vec::as_slice);
        let made_with = meaning.as_mut().map(|meaning| meaning.of(*number)).transpose()?;
        frames.push((*number, original.as_path(), target, known, made_with));
    }
    let (next, states) = (AtomicUsize::new(0), Mutex::new(BTreeMap::new()));
    thread::scope(|scope| {
        for _ in 0..threads() {
            scope.spawn(|| {
                while let Some((number, original, target, known, made_with)) =
                    frames.get(next.fetch_add(1, Ordering::Relaxed)).filter(|_| !job.follower.stop())
                {
                    let state = state_of(original, target, known, *made_with);
                    states.lock().unwrap_or_else(PoisonError::into_inner).insert(*number, state);
                }
            });
        }
    });
    let states = states.into_inner().unwrap_or_else(PoisonError::into_inner);
    let mut found = Found { swept, ..Found::default() };
    states.values().for_each(|state| found.count(*state));
    Ok((job.sequence.some(|number| states.get(&number) != Some(&State::Kept)), found))
}

fn state_of(original: &Path, target: &Path, known: &[Fact], made_with: Option<Content>) -> State {
    let holds = match Content::of_file(target) {
        Ok(holds) => holds,
        Err(error) if error.kind() == io::ErrorKind::NotFound => return State::Missing,
        Err(_) => return State::Damaged,
    };
    if known.is_empty() {
        return State::Unrecorded;
    }
    let mut left = known.iter().filter(|fact| fact.holds == holds).peekable();
    if left.peek().is_none() {
        return State::Damaged;
    }
    let mut left = left.filter(|fact| Some(fact.made_with) == made_with).peekable();
    if left.peek().is_none() {
        return State::OtherSettings;
    }
    let of = Content::of_file(original).ok();
    if left.any(|fact| Some(fact.original) == of) { State::Kept } else { State::OtherOriginal }
}
