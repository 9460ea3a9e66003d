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
use crate::space::Vec3;
use crate::trace::{Lamp, LampKind};

/// The stage of a shot of this set-up, by its number.
pub fn stage(number: &str) -> Option<Stage> {
    match number {
        "010" => Some(evening::first()),
        "010b" => Some(evening::second()),
        "020" => Some(morning::stage()),
        _ => None,
    }
}

fn far(source: usize, towards: Vec3, wide: f64, level: f64) -> Lamp {
    Lamp { source, kind: LampKind::Far { towards: towards.unit(), wide }, level }
}

fn near(source: usize, place: Vec3, wide: f64, level: f64) -> Lamp {
    Lamp { source, kind: LampKind::Near { place, wide }, level }
}

fn dome(source: usize, towards: Vec3, level: f64) -> Lamp {
    Lamp { source, kind: LampKind::Dome { towards: towards.unit() }, level }
}
