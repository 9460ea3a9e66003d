//! The procedural, spectral demo scene with its truth known, and the test patterns.
//!
//! Three shots of the crew of a night ferry, each under one light of a known spectrum, exposed a little wrong, in
//! camera log. [`write()`] writes them with the truth beside each; [`pattern`] draws the built-in test signals.
//!
//! How a pixel comes about: `shot` says what lies where under which light; `set` says which material, how turned
//! and how shadowed, a ray meets; `palette` knows every material's colour under the light from its spectrum
//! ([`light`], [`material`], [`spectrum`]); `raster` samples; `noise` and the camera's encoding do the rest.
//!
//! The camera sees as the CIE 1931 observer does and balances nothing, so the truth is exact.

mod body;
mod geometry;
mod noise;
pub mod pattern;
mod raster;
mod set;
mod set_up;
mod shot;
mod space;
pub mod spectra;
mod trace;
mod truth;
pub mod viewer;
mod write;

pub use camera::Camera;
pub use light::Light;
pub use palette::{as_read, camera_palette, truth_palette, white, white_as_read, xyz_palette};
pub use raster::Rect;
pub use spectra::{camera, light, material, palette, spectrum};
pub use truth::{LightTruth, PatchTruth, RampTruth, StepTruth, Truth};
pub use write::{DemoError, PROJECT, PROJECT_NAME, RATE, Settings, ShotSummary, Summary, one_frame, write};
