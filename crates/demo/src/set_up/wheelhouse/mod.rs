//! The wheelhouse at night, under its tubes: the mate has the watch, the cook brings a mug.
//!
//! `room` is what is built in, with `console`, `radar`, `helm`, `tubes`, `signal` and the `glass` of its windows; `panel` is
//! the board of grey paint beside the card; `sources` says what shines and how it flickers; `wide` and `close` are the
//! two shots.

mod close;
mod console;
mod glass;
mod helm;
mod panel;
mod radar;
mod room;
mod sheet;
mod signal;
mod sources;
#[cfg(test)]
mod tests;
mod tubes;
mod wide;

use super::Stage;
use crate::trace::{Glow, Lamp, Scene, Shape, Still};

/// The stage of a shot of this set-up, by its number.
pub fn stage(number: &str) -> Option<Stage> {
    match number {
        "010" => Some(wide::stage()),
        "020" => Some(close::stage()),
        _ => None,
    }
}

/// A scene of these bodies under these lamps; beyond the room is the night.
fn scene(shapes: Vec<Box<dyn Shape>>, lamps: Vec<Lamp>) -> Scene {
    Scene {
        shapes,
        lamps,
        backdrop: Box::new(|_, _| vec![Glow { source: sources::NIGHT, level: 0.004 }]),
        white: crate::material::WHITE,
        // A head that turns a little leaves its shadow on the collar as it was.
        shadow_reach: 0.0,
        still: Still::default(),
    }
}
