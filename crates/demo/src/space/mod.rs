//! The space that a scene stands in: points, rays, boxes, the camera's view and signed distances.
//!
//! Lengths are metres. x goes to the right, y up, z towards the camera of a plain view.

mod bounds;
pub mod distance;
mod place;
mod texture;
mod vector;
mod view;

pub use bounds::Bounds;
pub use place::Place;
pub use texture::{below, chance, grain, hash, mix, smooth, uneven};
pub use vector::{Leg, Vec3, v3};
pub use view::{Ray, View};
