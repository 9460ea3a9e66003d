//! From bodies and lamps to what every pixel is made of: which material, under which light, how much.
//!
//! `shape` says what a body is, `scene` holds bodies, lamps and what is behind them all; `march` finds what a ray
//! meets; `shade` weighs the light there; `plate` does so for all pixels of a picture,
//! `change` for those that are not as at its first moment. No colour is known here: a plate
//! says how much of which light each material sends to a pixel, and palettes make colours of that.

mod change;
mod grid;
mod march;
mod plate;
mod scene;
mod shade;
mod shape;
#[cfg(test)]
mod tests;
mod tree;
#[cfg(test)]
pub mod trials;

pub use change::Change;
pub use grid::Still;
pub use plate::{Part, Plate, Window};
pub use scene::{Glow, Lamp, Scene};
pub use shape::{Halo, Shape, Surface};
