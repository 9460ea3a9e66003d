//! Readings: probes on the pictures and the table of what they read, before and after, tile by tile.

mod cross;
mod figures;
pub mod keys;
mod moving;
mod table;
#[cfg(test)]
mod tests;

pub use cross::{begin, on_picture};
pub use table::show;
