//! The film: what was shot, with which camera, and how light becomes code values.

mod camera;
mod noise;
mod palettes;
mod sensor;
mod shots;
mod take;

pub use camera::Camera;
pub use noise::{LIGHT, READ};
pub use palettes::xyz_from_working;
pub use sensor::{FULL, Sensor};
pub use shots::{SHOTS, Shot};
pub use take::{Moment, Take};
