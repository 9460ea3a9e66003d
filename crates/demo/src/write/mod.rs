//! Writes the demo: log sequences, the truth of each, the list of all, the project, and copies with planted faults.

mod error;
pub(crate) mod files;
mod project;
mod room;
mod settings;
pub(crate) mod shot;

use std::path::Path;

use frame::Frame;
use frame::Size;
use serde::{Deserialize, Serialize};

pub use error::DemoError;
pub use project::{PROJECT, PROJECT_NAME};
pub use room::{Room, room};
pub use settings::{Settings, TruthPictures};

use crate::faults;
use crate::film::SHOTS;
use crate::spectra::table;
use crate::truth::Rect;

/// Frames a second of the demo.
pub const RATE: f64 = 24.0;

/// The name of the table of all spectra.
pub const SPECTRA: &str = "spectra.tsv";

/// What was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Summary {
    /// The project, which holds the shots with five ways to correct them.
    pub project: String,
    /// The shots in order.
    pub shots: Vec<ShotSummary>,
    /// The folder of copies with planted faults, where they were asked for.
    pub faults: Option<String>,
}

/// A shot that was written; paths are relative to the demo's folder, with `/` between.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct ShotSummary {
    /// Its name.
    pub name: String,
    /// Its sequence, such as `deck_010/deck_010.%04d.dpx`.
    pub pattern: String,
    /// Its frames, numbered from 1.
    pub frames: u32,
    /// Id of the encoding of its code values.
    pub encoding: String,
    /// The exposure index of that encoding, where it depends on one.
    pub exposure_index: Option<u32>,
    /// The chain that corrects it, as for `--chain`.
    pub correction: String,
    /// The grey card in pixels.
    pub card: Rect,
    /// Its truth as text.
    pub truth: String,
    /// Its truth as picture.
    pub truth_picture: String,
}

/// Writes the demo into `dir`: a folder a shot with its log DPX frames, the shot's `truth` folder with `truth.json` and the
/// pictures, `shots.json`, which is the returned [`Summary`], the project, [`PROJECT`], unless there is one, the table of all
/// spectra, [`SPECTRA`], and the folder `faults`.
///
/// `progress` is called after every frame with how many are done and how many there are; it answers whether to go on.
///
/// # Errors
/// [`DemoError`]: settings out of bounds, a folder or file that cannot be written, or [`DemoError::Stopped`].
pub fn write(dir: &Path, settings: &Settings, progress: &dyn Fn(usize, usize) -> bool) -> Result<Summary, DemoError> {
    let wanted = settings.checked()?;
    let copies = if settings.faults { faults::FRAMES as usize } else { 0 };
    let total = wanted.len() * settings.frames as usize + copies;
    let step = |done: usize| if progress(done, total) { Ok(()) } else { Err(DemoError::Stopped { done, total }) };
    files::folder(dir)?;
    let mut written = Vec::new();
    for (index, one) in wanted.into_iter().enumerate() {
        let before = index * settings.frames as usize;
        written.push(shot::shot(dir, one, settings, &|done| step(before + done))?);
    }
    if settings.faults {
        faults::plant(&dir.join(faults::FOLDER), settings, &|done| step(total - copies + done))?;
    }
    project::project(dir, &written)?;
    files::bytes(&dir.join(SPECTRA), table::text().as_bytes())?;
    let summary = Summary {
        project: PROJECT_NAME.to_owned(),
        shots: written.into_iter().map(|shot| shot.summary).collect(),
        faults: settings.faults.then(|| faults::FOLDER.to_owned()),
    };
    files::json(&dir.join("shots.json"), &summary)?;
    Ok(summary)
}

/// The first frame of the first shot, in memory: packed 10-bit code of LogC3, with noise. It is made to be quick: a large
/// one is traced at a fraction of its size.
///
/// # Errors
/// [`DemoError`]: a size out of bounds.
pub fn one_frame(size: Size) -> Result<Frame, DemoError> {
    let settings = Settings { size, ..Settings::default() };
    settings.checked()?;
    shot::first_frame(&SHOTS[0], &settings)
}
