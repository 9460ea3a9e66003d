//! Candidates side by side on one frame, with the verdict figures of each: what `compare` and the window both show.
//!
//! [`Gathered`] is the frame with its candidates, [`Told`] what the user marked on it, [`evidence`] what is known of it by that.
//! [`compare`] measures one [`Measured`] a row, of the truth, of the baseline and of each candidate; [`figures`] says what reads
//! the same, [`lines`] is the table in words.

pub mod anchor;
pub mod evidence;
pub mod figures;
pub mod lines;
pub mod measured;
pub mod shown;
#[cfg(test)]
mod tests;
mod told;
pub mod travel;
pub mod yardstick;

use std::cell::Cell;
use std::path::PathBuf;
use std::sync::Arc;

use colour::CodeRange;
use frame::Frame;
use gpu::device::Gpu;
use graph::Elaborated;
use measure::Tap;
use measure::scopes::Region;

use crate::Fault;
use crate::chain::file_range;
use crate::engine;
use anchor::Anchor;
use evidence::Evidence;
pub use figures::Figure;
pub use measured::Measured;
use measured::{By, measure, parts};
pub use told::{Marked, Told};

/// One candidate.
pub struct Subject {
    /// Its name.
    pub name: String,
    /// Its operations in order, as a project or the user writes them.
    pub order: String,
    /// What it means.
    pub elaborated: Elaborated,
}

/// Candidates and the frame they are compared on.
pub struct Gathered {
    /// What is looked at, for people.
    pub what: String,
    /// The frame's file, without folders.
    pub file: String,
    /// The frame's path.
    pub path: PathBuf,
    /// The frame's number.
    pub number: i64,
    /// The original; what was not finite is replaced.
    pub frame: Frame,
    /// What of it is measured.
    pub region: Region,
    /// How its codes relate to signal.
    pub range: CodeRange,
    /// Signal of the original's pixels.
    pub pixels: Vec<[f32; 4]>,
    /// What the original's numbers are.
    pub tap: Tap,
    /// The candidates; one at least.
    pub subjects: Vec<Subject>,
}

impl Gathered {
    /// The frame `number` of a path, and of a shot where that is named. All candidates must take the original for the same.
    ///
    /// # Errors
    /// There is no candidate.
    pub fn new(
        (path, number, shot): (PathBuf, i64, Option<&str>),
        frame: Frame,
        region: Region,
        subjects: Vec<Subject>,
    ) -> Result<Self, Fault> {
        let first = subjects.first().ok_or_else(|| Fault::failed("there is no candidate"))?;
        let (original, range) = (first.elaborated.original.clone(), first.elaborated.original_range);
        let file =
            path.file_name().map_or_else(|| crate::paths::shown(&path), |name| name.to_string_lossy().into_owned());
        let shot = shot.map_or_else(String::new, |shot| format!(", shot {shot}"));
        Ok(Self {
            what: format!("{file}{shot}: {}, {original}", frame.size()),
            file,
            path,
            number,
            range,
            pixels: frame.to_pixels(file_range(range)),
            tap: Tap::new(original),
            region,
            frame,
            subjects,
        })
    }
}

/// How much is measured of a candidate.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Extent {
    /// Everything.
    All,
    /// What the line under a tile says: all but noise, tones and what it costs to travel.
    Tile,
}

/// Follows a comparison: hears how far it is, and may end it.
pub trait Watch {
    /// So many parts of so many are done, and this one begins.
    fn begins(&self, words: &str, done: usize, of: usize) {
        let _ = (words, done, of);
    }

    /// Whether the work shall end; looked at between parts.
    fn stop(&self) -> bool {
        false
    }
}

/// Nobody follows.
impl Watch for () {}

/// All that was compared.
pub struct Comparison {
    /// Frame, shot, encoding: what was looked at, for people.
    pub what: String,
    /// The frame's file.
    pub file: String,
    /// Its number.
    pub number: i64,
    /// What of it is measured.
    pub region: Region,
    /// What computed the pictures.
    pub executor: String,
    /// What is known of the frame.
    pub evidence: Evidence,
    /// The anchor shot, if one is named.
    pub anchor: Option<Anchor>,
    /// What candidates are held against, where it is not the first of them.
    pub truth: Option<Measured>,
    /// Full Bradford from the same grey.
    pub baseline: Option<Measured>,
    /// The candidates, in order.
    pub candidates: Vec<Measured>,
}

impl Comparison {
    /// What hues and pictures are held against: the truth, else the baseline, else the first candidate.
    pub fn yardstick(&self) -> Option<&Measured> {
        self.truth.as_ref().or(self.baseline.as_ref()).or(self.candidates.first())
    }

    /// What figures are held against that the truth does not have, such as noise.
    pub fn base(&self) -> Option<&Measured> {
        self.baseline.as_ref().or(self.candidates.first())
    }

    /// Every row: truth and baseline where they are, then the candidates.
    pub fn rows(&self) -> impl Iterator<Item = &Measured> {
        self.truth.iter().chain(&self.baseline).chain(&self.candidates)
    }
}

/// Measures truth, baseline and candidates; `gpu` computes the pictures, the proof where there is none. Figures on grey are
/// always the proof's.
///
/// # Errors
/// What computes fails; the anchor is shown on another display; the watch ends it.
pub fn compare(
    gathered: &Gathered,
    evidence: Evidence,
    anchor: Option<Anchor>,
    (extent, gpu): (Extent, Option<&Arc<Gpu>>),
    watch: &dyn Watch,
) -> Result<Comparison, Fault> {
    let has_picture = evidence.truth.as_ref().is_some_and(|truth| truth.picture.is_some());
    let rows = gathered.subjects.len() + usize::from(evidence.grey.is_some());
    let (of, done) = (usize::from(has_picture) + rows * parts(extent), Cell::new(0));
    let go = |words: &str| {
        if watch.stop() {
            return Err(Fault::failed("stopped"));
        }
        watch.begins(words, done.replace(done.get() + 1), of);
        Ok(())
    };
    if has_picture {
        go("truth: picture")?;
    }
    let truth = yardstick::truth(gathered, &evidence, gpu)?;
    let by = By { gathered, evidence: &evidence, truth: truth.as_ref(), extent, gpu };
    let mut baseline = None;
    if let Some(grey) = &evidence.grey {
        baseline = Some(measure(&yardstick::baseline(gathered, grey)?, by, None, &go)?);
    }
    let mut candidates = Vec::with_capacity(gathered.subjects.len());
    for (at, subject) in gathered.subjects.iter().enumerate() {
        candidates.push(measure(subject, by, anchor.as_ref().map(|anchor| (anchor, at)), &go)?);
    }
    Ok(Comparison {
        what: gathered.what.clone(),
        file: gathered.file.clone(),
        number: gathered.number,
        region: gathered.region,
        executor: engine::name(gpu),
        truth: truth.map(|truth| truth.row),
        evidence,
        anchor,
        baseline,
        candidates,
    })
}
