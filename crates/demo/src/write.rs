//! Writes the demo: three log sequences, the truth of each, and the list of all.

use std::fs;
use std::path::{Path, PathBuf};

use colour::transfer::Form;
use colour::{Encoding, EncodingError};
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, MediaError};
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::noise::Noise;
use crate::palette::{camera_palette, truth_palette};
use crate::raster::{Picture, Raster, Rect};
use crate::set::{Lighting, Stage};
use crate::shot::{SHOTS, Shot};
use crate::truth::{Truth, correction, truth};

/// Frames a second of the demo.
pub const RATE: f64 = 24.0;

/// How large, how long and how noisy the demo is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Settings {
    /// Size of every frame; at least [`Settings::SMALLEST`].
    pub size: Size,
    /// Frames a shot, 1 to 9999.
    pub frames: u32,
    /// Whether the camera has noise.
    pub noise: bool,
    /// What the noise is drawn from; the same seed gives the same bytes.
    pub seed: u64,
}

impl Settings {
    /// The smallest size at which every patch still covers a pixel.
    pub const SMALLEST: Size = Size { width: 160, height: 90 };
    /// The largest size, a bound against typing errors.
    pub const LARGEST: Size = Size { width: 16_384, height: 16_384 };

    fn check(&self) -> Result<(), DemoError> {
        let within = |value: u32, least: u32, most: u32| (least..=most).contains(&value);
        let fits = within(self.size.width, Self::SMALLEST.width, Self::LARGEST.width)
            && within(self.size.height, Self::SMALLEST.height, Self::LARGEST.height);
        if !fits {
            return Err(DemoError::Size { width: self.size.width, height: self.size.height });
        }
        if !within(self.frames, 1, 9999) {
            return Err(DemoError::Frames { frames: self.frames });
        }
        Ok(())
    }
}

impl Default for Settings {
    fn default() -> Self {
        Self { size: Size { width: 1280, height: 720 }, frames: 24, noise: true, seed: 1 }
    }
}

/// Why the demo could not be written.
#[derive(Debug, thiserror::Error)]
pub enum DemoError {
    /// The size is out of bounds.
    #[error("size {width}x{height}: the demo is drawn from 160x90 to 16384x16384; choose a size within")]
    Size {
        /// Width asked for.
        width: u32,
        /// Height asked for.
        height: u32,
    },
    /// The number of frames is out of bounds.
    #[error("frames {frames}: a shot has 1 to 9999 frames; choose a number within")]
    Frames {
        /// Frames asked for.
        frames: u32,
    },
    /// A shot names an encoding that does not exist.
    #[error("shot {shot}: {source}")]
    Encoding {
        /// The shot.
        shot: &'static str,
        /// What is wrong with it.
        source: EncodingError,
    },
    /// A shot's light has no colour temperature.
    #[error("shot {shot}, its light: {reason}")]
    Light {
        /// The shot.
        shot: &'static str,
        /// What is wrong with it.
        reason: String,
    },
    /// A frame could not be written.
    #[error(transparent)]
    Media(#[from] MediaError),
    /// A folder or a text file could not be written.
    #[error("{}: {source}; choose a folder that can be written to and has room", path.display())]
    Io {
        /// What was to be written.
        path: PathBuf,
        /// What the system said.
        source: std::io::Error,
    },
    /// The caller asked to stop.
    #[error("stopped after {done} of {total} frames; what is written so far is whole")]
    Stopped {
        /// Frames written.
        done: usize,
        /// Frames there would have been.
        total: usize,
    },
}

/// The demo's project: five corrections that each bring the grey card of every shot to neutral, and part elsewhere.
/// Their numbers were measured on the cards of the first frames, as a person would; none comes from the truth.
pub const PROJECT: &str = include_str!("../data/night_ferry.greywright");

/// The name of the project's file.
pub const PROJECT_NAME: &str = "night_ferry.greywright";

/// What was written.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Summary {
    /// The project, which holds the shots with five ways to correct them.
    pub project: String,
    /// The shots in order.
    pub shots: Vec<ShotSummary>,
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
    /// The chain that corrects it, as for `--chain`.
    pub correction: String,
    /// The grey card in pixels.
    pub card: Rect,
    /// Its truth as text.
    pub truth: String,
    /// Its truth as picture.
    pub truth_picture: String,
}

/// Writes the demo into `dir`: a folder a shot with its 10-bit log DPX frames, the shot's `truth` folder with
/// `truth.json` and `truth.0001.exr`, `shots.json`, which is the returned [`Summary`], and the
/// project, [`PROJECT`], unless there is one.
///
/// `progress` is called after every frame with how many are done and how many there are; it answers whether to go on.
///
/// # Errors
/// [`DemoError`]: settings out of bounds, a folder or file that cannot be written, or [`DemoError::Stopped`].
pub fn write(dir: &Path, settings: &Settings, progress: &dyn Fn(usize, usize) -> bool) -> Result<Summary, DemoError> {
    settings.check()?;
    let total = SHOTS.len() * settings.frames as usize;
    let mut shots = Vec::new();
    for (index, shot) in SHOTS.iter().enumerate() {
        let before = index * settings.frames as usize;
        let step = |done: usize| match progress(before + done, total) {
            true => Ok(()),
            false => Err(DemoError::Stopped { done: before + done, total }),
        };
        shots.push(write_shot(dir, index as u64, shot, settings, &step)?);
    }
    let project = dir.join(PROJECT_NAME);
    // One that is there may hold somebody's work.
    if !project.exists() {
        write_text(&project, PROJECT.as_bytes())?;
    }
    let summary = Summary { project: PROJECT_NAME.to_owned(), shots };
    write_json(&dir.join("shots.json"), &summary)?;
    Ok(summary)
}

/// The first frame of the first shot, in memory: packed 10-bit code of LogC3, with noise.
///
/// # Errors
/// [`DemoError`]: a size out of bounds.
pub fn one_frame(size: Size) -> Result<Frame, DemoError> {
    let settings = Settings { size, ..Settings::default() };
    settings.check()?;
    let ready = Prepared::new(&SHOTS[0], size)?;
    let picture = Picture::of(&ready.stage, &ready.raster, 0.0, &ready.camera());
    Ok(ready.encode(&picture, Some(Noise::new(settings.seed, 0, 0))))
}

/// A shot made ready: its encoding, its set, and how it lands in pixels.
struct Prepared<'a> {
    shot: &'a Shot,
    encoding: Encoding,
    stage: Stage,
    raster: Raster,
}

impl<'a> Prepared<'a> {
    fn new(shot: &'a Shot, size: Size) -> Result<Self, DemoError> {
        let encoding =
            Encoding::named(shot.encoding, None).map_err(|source| DemoError::Encoding { shot: shot.name, source })?;
        Ok(Self { shot, encoding, stage: Stage::new(shot.layout), raster: Raster::new(size) })
    }

    fn lighting(&self, palette: Vec<[f64; 3]>) -> Lighting {
        Lighting { key: self.stage.key(), palette }
    }

    fn camera(&self) -> Lighting {
        self.lighting(camera_palette(&self.encoding, self.shot.light, self.shot.exposure_error_stops))
    }

    fn truth_picture(&self) -> Picture {
        Picture::of(&self.stage, &self.raster, 0.0, &self.lighting(truth_palette(&self.encoding)))
    }

    /// Code values of a linear picture, as the camera writes them.
    fn encode(&self, picture: &Picture, noise: Option<Noise>) -> Frame {
        let pixels: Vec<[f32; 4]> = picture
            .pixels
            .par_iter()
            .enumerate()
            .map(|(pixel, rgb)| {
                let code = |channel: usize| {
                    let linear = f64::from(rgb[channel]);
                    let read = noise.map_or(linear, |noise| noise.on(linear, pixel, channel));
                    self.encoding.transfer.encode(Form::Published, read) as f32
                };
                [code(0), code(1), code(2), 1.0]
            })
            .collect();
        let layout = Layout { channels: Channels::Rgb, samples: Samples::Ten, order: ByteOrder::Big };
        Frame::from_pixels(&pixels, picture.size, layout, Range::Full)
    }
}

fn write_shot(
    dir: &Path,
    index: u64,
    shot: &Shot,
    settings: &Settings,
    step: &dyn Fn(usize) -> Result<(), DemoError>,
) -> Result<ShotSummary, DemoError> {
    let ready = Prepared::new(shot, settings.size)?;
    let name = shot.name;
    let truth_dir = dir.join(name).join("truth");
    fs::create_dir_all(&truth_dir).map_err(|source| DemoError::Io { path: truth_dir.clone(), source })?;
    let truth = write_truth(&truth_dir, &ready)?;

    let about = About { rate: Some(RATE), ..About::default() };
    let lighting = ready.camera();
    let first = Picture::of(&ready.stage, &ready.raster, 0.0, &lighting);
    for frame in 0..settings.frames {
        let moment = f64::from(frame) / RATE;
        let picture = first.at(&ready.stage, &ready.raster, moment, &lighting);
        let noise = settings.noise.then(|| Noise::new(settings.seed, index, u64::from(frame)));
        let path = dir.join(name).join(format!("{name}.{:04}.dpx", frame + 1));
        media::write(&path, &ready.encode(&picture, noise), &about)?;
        step(frame as usize + 1)?;
    }
    Ok(ShotSummary {
        name: name.to_owned(),
        pattern: format!("{name}/{name}.%04d.dpx"),
        frames: settings.frames,
        encoding: shot.encoding.to_owned(),
        correction: correction(shot, &ready.encoding),
        card: truth.card,
        truth: format!("{name}/truth/truth.json"),
        truth_picture: format!("{name}/truth/{TRUTH_PICTURE}"),
    })
}

const TRUTH_PICTURE: &str = "truth.0001.exr";

fn write_truth(dir: &Path, ready: &Prepared<'_>) -> Result<Truth, DemoError> {
    let truth = truth(ready.shot, &ready.encoding, &ready.stage, &ready.raster, TRUTH_PICTURE)?;
    write_json(&dir.join("truth.json"), &truth)?;
    let picture = ready.truth_picture();
    let pixels: Vec<[f32; 4]> = picture.pixels.iter().map(|&[r, g, b]| [r, g, b, 1.0]).collect();
    let layout = Layout { channels: Channels::Rgb, samples: Samples::Half, order: ByteOrder::Little };
    let frame = Frame::from_pixels(&pixels, picture.size, layout, Range::Full);
    let about = About {
        rate: Some(RATE),
        encoding: Some(("ACEScg".to_owned(), "written as such".to_owned())),
        ..About::default()
    };
    media::write(&dir.join(TRUTH_PICTURE), &frame, &about)?;
    Ok(truth)
}

fn write_json(path: &Path, value: &impl Serialize) -> Result<(), DemoError> {
    let io = |source| DemoError::Io { path: path.to_owned(), source };
    let mut text = serde_json::to_vec_pretty(value).map_err(|error| io(error.into()))?;
    text.push(b'\n');
    write_text(path, &text)
}

fn write_text(path: &Path, text: &[u8]) -> Result<(), DemoError> {
    let io = |source| DemoError::Io { path: path.to_owned(), source };
    // Whole or not at all: under its own name only once it is written.
    let name = path.file_name().unwrap_or_default().to_string_lossy();
    let part = path.with_file_name(format!(".{name}.part"));
    fs::write(&part, text).and_then(|()| fs::rename(&part, path)).map_err(|source| {
        let _ = fs::remove_file(&part);
        io(source)
    })
}
