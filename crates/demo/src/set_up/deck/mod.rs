//! The deck at blue hour: the lee side of a night ferry, the last light over the rail, one lamp on the deckhouse.
//!
//! The ship is the same in all shots (`ship`); each shot has its own camera, crew and stores. Towards +x is the rail and
//! the sea, towards -x the deckhouse; z runs along the ship. The open sky over the rail is the key.

mod boat;
mod house;
mod wall_lamp;
mod planking;
mod rail;
mod shots;
mod sky;
mod stores;

use self::boat::{Boat, Davit};
use self::house::{Door, Porthole, Side};
use self::wall_lamp::WallLamp;
use self::planking::Planking;
use self::rail::{RAIL, Rail};
use super::{Level, Source, Stage};
use crate::light::Light;
use crate::space::{Vec3, v3};
use crate::trace::{Lamp, LampKind, Shape};

/// The open sky over the rail: the key, and the fill from above.
const SKY: usize = 0;
/// The deck lamp and what is lit within.
const LAMP: usize = 1;
/// The sky above.
const ZENITH: usize = 2;
/// The paler sky over the horizon.
const HORIZON: usize = 3;
/// The last band of light.
const AFTERGLOW: usize = 4;
/// How many sources there are.
const SOURCES: usize = 5;

/// The stage of a shot of this set-up, by its number.
pub fn stage(number: &str) -> Option<Stage> {
    match number {
        "010" => Some(shots::wide()),
        _ => None,
    }
}

/// The sources; where the light goes, the sky's has a later spectrum.
fn sources() -> Vec<Source> {
    let source = |name, light| Source { name, light, later: None, relit: true };
    vec![
        source("sky over the rail", Light::BlueHour),
        source("deck lamp", Light::Tungsten),
        source("sky above", Light::BlueHour),
        source("sky at the horizon", Light::D65),
        source("last light", Light::Tungsten),
    ]
}

/// Every source full.
fn steady(_: f64) -> Vec<Level> {
    vec![Level::FULL; SOURCES]
}

/// The sky as key from a direction, as fill from above, and the deck lamp from behind.
fn lamps(key: Vec3, lantern: &WallLamp, lamp_level: f64) -> Vec<Lamp> {
    vec![
        Lamp { source: SKY, kind: LampKind::Far { towards: key.unit(), wide: 0.22 }, level: 1.05 },
        Lamp { source: SKY, kind: LampKind::Dome { towards: v3(0.35, 0.94, 0.0).unit() }, level: 0.46 },
        Lamp { source: LAMP, kind: LampKind::Near { place: lantern.bulb(), wide: 0.06 }, level: lamp_level },
    ]
}

/// What every shot has behind its crew.
fn ship(lantern: WallLamp) -> Vec<Box<dyn Shape>> {
    let on_side = |y: f64, z: f64| v3(house::SIDE, y, z);
    vec![
        Box::new(Planking { least: [house::SIDE - 0.02, -9.2], most: [RAIL + 0.12, 9.2] }),
        Box::new(Side { far: -8.2, near: 9.0 }),
        Box::new(Rail { athwart: false, at: RAIL, span: [-9.0, 9.0] }),
        Box::new(Rail { athwart: true, at: -9.0, span: [-4.0, RAIL] }),
        Box::new(Boat { middle: v3(RAIL + 0.80, 3.0, -5.6) }),
        Box::new(Davit { foot: v3(RAIL + 0.02, 0.0, -3.9) }),
        Box::new(Davit { foot: v3(RAIL + 0.02, 0.0, -7.3) }),
        Box::new(Porthole { middle: on_side(1.55, -4.9), level: 3.0 }),
        Box::new(Porthole { middle: on_side(1.55, -0.35), level: 0.8 }),
        Box::new(Door { foot: on_side(0.12, -3.4) }),
        Box::new(lantern),
    ]
}
