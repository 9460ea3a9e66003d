//! Spectra: lights, surfaces and cameras, and the colours that they make together.
//!
//! Everything is a function of the wavelength on one grid ([`spectrum`]). Colours are integrated once per surface,
//! light and camera ([`palette`]); pixels only weigh them. [`table`] is all of it as text, for who wants to
//! integrate again.

pub mod camera;
mod daylight;
mod fluorescent;
pub mod light;
pub mod material;
pub mod palette;
pub mod pigment;
pub mod spectrum;
pub mod table;
