//! A chain that was typed, or a candidate of a project for one of its shots: what it means for a frame.

mod book;
mod explain;
mod signal;
mod sources;

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};
use std::sync::Mutex;

use colour::{CodeRange, Encoding};
use graph::{Document, Elaborated, Original, Work};
use ops::{Book, Operation as _, OutputTransform};

pub use book::{add_encoding, add_lut, encodings, find, lut_files};
pub use explain::explain;
pub use signal::{encoding_id, file_range, wire_range};
pub use sources::ChainSource;

use crate::{Fault, Tell};

/// A chain that has been read, with what its names mean.
pub struct Chain {
    document: Document,
    candidate: String,
    shot: Option<String>,
    /// The frame whose numbers hold for all.
    frame: Option<i64>,
    /// The folder that the paths of its file start from; the current one for a chain that is typed.
    folder: PathBuf,
    /// Encodings and LUTs by name.
    pub book: Book,
    input: Option<Encoding>,
    range: Option<CodeRange>,
    /// The camera roll that the project's shot or the shot sheet names.
    camera_roll: Option<String>,
    /// What has been said: a chain is elaborated anew for many a frame.
    said: Mutex<BTreeSet<String>>,
    tell: Tell,
}

impl Chain {
    /// The linear chain of a document that was read from text.
    fn of(document: Document, tell: Tell) -> Self {
        Self {
            document,
            candidate: graph::chain::CANDIDATE.to_string(),
            shot: None,
            frame: None,
            folder: PathBuf::new(),
            book: Book::default(),
            input: None,
            range: None,
            camera_roll: None,
            said: Mutex::default(),
            tell,
        }
    }

    /// What the chain means for rows of numbers.
    pub fn for_rows(&self) -> Result<Elaborated, Fault> {
        self.elaborate(self.input.clone().map_or(Original::SceneRows, Original::Encoded), None, None)
    }

    /// What the chain means for a frame, whose file may say what it holds; what the user says comes first, then the
    /// project's shot. The frame's number matters where a shot has marks.
    pub fn for_frame(&self, about: &media::About, number: i64) -> Result<Elaborated, Fault> {
        // What says how a picture was rendered begins with the display that it was made for.
        let display = || about.rendering.as_deref()?.split(", ").next();
        let told = about.encoding_id().or_else(display).and_then(|id| self.book.find(id, None).ok());
        let original = self.input.clone().or(told).map_or(Original::Unknown, Original::Encoded);
        self.elaborate(original, about.range.map(wire_range), Some(number))
    }

    /// Puts the camera roll that people wrote down before the one that a file says; results carry it.
    pub fn overrule(&self, about: &mut media::About) {
        if self.camera_roll.is_some() {
            about.camera_roll.clone_from(&self.camera_roll);
        }
    }

    /// The encoding and the range that the user, the project's shot or a shot sheet says the original has.
    pub fn told(&self) -> (Option<&Encoding>, Option<CodeRange>) {
        (self.input.as_ref(), self.range)
    }

    /// A setting, as it is written, of the output transform that makes the result; none where nothing or another
    /// operation does.
    pub fn output_setting(&self, elaborated: &Elaborated, key: &str) -> Option<String> {
        let transforms = |node: &&graph::Node| node.operation == OutputTransform::ID && node.work != Work::Bypassed;
        let member = &elaborated.nodes.iter().rev().find(transforms)?.member;
        self.document.kit.get(member)?.get(key)
    }

    /// Whether its numbers change from frame to frame.
    pub fn moves(&self) -> bool {
        let shot = self.shot.as_ref().and_then(|name| self.document.shots.get(name));
        let mut numbers = shot.into_iter().flat_map(|shot| shot.layer.members().values().flat_map(|of| of.values()));
        self.frame.is_none() && numbers.any(|number| number.marks.len() > 1)
    }

    /// The candidate's places in the order of work: their numbers, and the kit members that stand there.
    pub fn places(&self) -> Vec<(usize, String)> {
        let Some(wiring) = self.document.candidates.get(&self.candidate) else { return Vec::new() };
        let order = wiring.in_order().unwrap_or_default();
        let member = |at| wiring.graph().node_weight(at).map(|place| place.member.clone());
        order.into_iter().filter_map(|at| Some((at.index(), member(at)?))).collect()
    }

    /// The candidate's places as a project writes them, in order.
    pub fn order(&self) -> String {
        self.document.candidates.get(&self.candidate).map_or_else(String::new, |wiring| wiring.lines().join(" | "))
    }

    /// Every order of a candidate's corrections, each as a chain of its own, with its name.
    pub fn orders(&self, candidate: &str) -> Result<Vec<(String, Chain)>, Fault> {
        let orders = self.document.orders(candidate).map_err(Fault::failed)?;
        let of = |(name, wiring): (String, graph::Wiring)| {
            let mut document = self.document.clone();
            document.candidates.insert(name.clone(), wiring);
            let chain = Chain {
                document,
                candidate: name.clone(),
                shot: self.shot.clone(),
                frame: self.frame,
                folder: self.folder.clone(),
                book: self.book.clone(),
                input: self.input.clone(),
                range: self.range,
                camera_roll: self.camera_roll.clone(),
                said: Mutex::default(),
                tell: self.tell,
            };
            (name, chain)
        };
        Ok(orders.into_iter().map(of).collect())
    }

    /// Which candidate, shot and frame it is, for people.
    pub fn title(&self) -> String {
        let shot = self.shot.as_ref().map_or_else(String::new, |shot| format!(", shot {shot}"));
        let frame = self.frame.map_or_else(String::new, |frame| format!(", frame {frame}"));
        format!("{}{shot}{frame}", self.candidate)
    }

    /// The project's shot, if one is meant.
    pub fn shot(&self) -> Option<&graph::Shot> {
        self.document.shots.get(self.shot.as_ref()?)
    }

    /// The frames of the project's shot.
    pub fn media(&self) -> Option<PathBuf> {
        Some(crate::paths::meant(&self.shot()?.media, &self.folder))
    }

    /// Lets the project's shot say what the user has not said.
    fn follow_shot(&mut self, project: &Path) -> Result<(), Fault> {
        let Some(name) = &self.shot else { return Ok(()) };
        let Some(shot) = self.document.shots.get(name) else { return Ok(()) };
        if self.input.is_none()
            && let Some(encoding) = &shot.encoding
        {
            let found = find(&self.book, encoding, shot.exposure_index);
            let in_shot = |error| Fault::failed(format!("{}: shot '{name}': {error}", project.display()));
            self.input = Some(found.map_err(in_shot)?);
        }
        self.range = self.range.or(shot.range);
        self.camera_roll.clone_from(&shot.camera_roll);
        Ok(())
    }

    /// Lets a shot sheet say what neither the user nor the project's shot has said of a sequence: encoding, exposure
    /// index, range, camera roll.
    pub fn follow(&mut self, sheet: &Path, sequence: &media::Sequence) -> Result<(), Fault> {
        let sheet = media::ShotSheet::read(sheet).map_err(Fault::failed)?;
        let at = sheet.path.display();
        let Some(shot) = sheet.shot_of(sequence) else {
            return Err(Fault::failed(format!("{at}: no row's media is {}; add a row for it", sequence.name())));
        };
        if self.input.is_none()
            && let Some(name) = &shot.encoding
        {
            let encoding = find(&self.book, name, shot.exposure_index);
            let in_row = |error| Fault::failed(format!("{at}, line {}, column 'encoding': {error}", shot.line));
            self.input = Some(encoding.map_err(in_row)?);
        }
        self.range = self.range.or(shot.range.map(wire_range));
        self.camera_roll = self.camera_roll.take().or_else(|| shot.camera_roll.clone());
        Ok(())
    }

    fn elaborate(
        &self,
        original: Original,
        file_range: Option<CodeRange>,
        number: Option<i64>,
    ) -> Result<Elaborated, Fault> {
        let wiring = self
            .document
            .candidates
            .get(&self.candidate)
            .ok_or_else(|| Fault::asked(format!("there is no candidate '{}'", self.candidate)))?;
        let range = self.range.or(file_range);
        let kit = self.document.resolve(self.shot.as_deref(), self.frame.or(number)).map_err(Fault::failed)?;
        let elaborated = graph::elaborate(wiring, &kit, &original, range, &self.book);
        let elaborated = elaborated.map_err(Fault::asked)?;
        elaborated.warnings.iter().for_each(|warning| self.say_once(format!("warning: {warning}")));
        Ok(elaborated)
    }

    /// Says something of the chain and its frames, which are looked at more often than once.
    pub fn say_once(&self, words: String) {
        let mut said = self.said.lock().unwrap_or_else(std::sync::PoisonError::into_inner);
        if !said.contains(&words) {
            (self.tell)(&words);
            said.insert(words);
        }
    }
}
