//! The galley: 010 by lamp and window at the end of the night, 010b the same by a second camera, 020 the next morning.

mod evening;
mod lamp;
mod range;
mod room;
mod solid;
mod ware;
mod window;

use super::Stage;

/// The stage of a shot of this set-up, by its number.
pub fn stage(number: &str) -> Option<Stage> {
    match number {
        "010" => Some(evening::stage(evening::FIRST)),
        "010b" => Some(evening::stage(evening::SECOND)),
        _ => None,
    }
}
