//! The window: shots on a wall, their corrections on rails below, live.
//!
//! One idea: the wall compares, everything below it explains why. A panel is a function that draws the [`state::Bench`] and
//! gives [`state::Action`]s; [`state::Bench::apply`] alone changes it, and owns the steps back. Pictures are made aside
//! by [`pictures`], from what [`pictures::wanted`] says of the state.

mod aside;
pub mod commands;
mod entry;
mod head;
pub mod look;
pub mod numbers;
mod originals;
pub mod pictures;
mod rails;
mod readings;
mod renders;
#[cfg(test)]
mod rig;
pub mod scales;
mod second;
mod sheets;
pub mod shell;
mod shots;
pub mod state;
mod transport;
pub mod trust;
mod wall;
mod window;
mod worker;

pub use window::{Paced, has_display, pace, run};
