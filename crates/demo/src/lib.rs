//! The demo film with its truth known, drawn by a spectral renderer of our own, and the test patterns.
//!
//! Eight shots of one crossing of a night ferry, in three set-ups, each under lights of known spectra, exposed a little
//! wrong, in camera log. [`write()`] writes them with the truth beside each; [`pattern`] draws the built-in test signals.
//!
//! How a pixel comes about: `set_up` stands bodies (`body`) and lamps in space (`space`) for a shot; `trace` finds which
//! materials send how much of which source's light to each pixel; `film` knows every material's colour under every source
//! from [`spectra`], adds what lens and sensor do, and encodes. `truth` tells what is true of it, `write` puts it into
//! files, `faults` plants faults of ingest in copies.
//!
//! The main camera sees as the CIE 1931 observer does and balances nothing, so the truth is exact.

mod body;
mod faults;
mod film;
pub mod pattern;
mod set_up;
mod space;
pub mod spectra;
mod trace;
mod truth;
pub mod viewer;
mod write;

pub use camera::Camera;
pub use faults::{MISSING, REPEATED, WRONG_INDEX};
pub use film::{FULL, LIGHT, READ, SHOTS, Shot};
pub use light::Light;
pub use palette::{as_read, truth_palette, white, xyz_palette};
pub use spectra::{camera, light, material, palette, spectrum};
pub use truth::{
    FrameTruth, LightTruth, MarkTruth, MaterialTruth, PatchTruth, PicturesTruth, Rect, SensorTruth, SourceTruth,
    StepTruth, Truth,
};
pub use write::{
    DemoError, PROJECT, PROJECT_NAME, RATE, Room, SPECTRA, Settings, ShotSummary, Summary, TruthPictures, one_frame,
    room, write,
};
