//! The galley: 010 by lamp and window at the end of the night, 010b the same by a second camera, 020 the next morning.

mod actors;
mod evening;
mod fittings;
mod lamp;
mod morning;
mod range;
mod room;
mod solid;
#[cfg(test)]
mod tests;
mod ware;
mod window;

use super::Stage;

/// The stage of a shot of this set-up, by its number.
pub fn stage(number: &str) -> Option<Stage> {
    match number {
        "010" => Some(evening::first()),
        "010b" => Some(evening::second()),
        "020" => Some(morning::stage()),
        _ => None,
    }
}
