//! The film: what was shot, with which camera, and how light becomes code values.

mod noise;
mod palettes;
mod sensor;
mod shots;
mod take;

pub use noise::{LIGHT, READ};
pub use sensor::{FULL, Sensor};
pub use shots::{SHOTS, Shot};
pub use take::{Moment, Take};
