//! The deck at blue hour: the lee side of a night ferry, the last light over the rail, one lamp on the deckhouse.
//!
//! The ship is the same in all shots (`ship`); each shot has its own camera, crew and stores. Towards +x is the rail and
//! the sea, towards -x the deckhouse; z runs along the ship. The open sky over the rail is the key.

mod boat;
#[cfg(test)]
mod bodies_test;
mod cowl;
mod guard;
mod house;
mod planking;
mod rail;
mod shots;
mod sky;
mod stores;
mod tail;
#[cfg(test)]
mod tests;
mod wall_lamp;

use self::boat::{Boat, Davit};
use self::cowl::Cowl;
use self::guard::Guard;
use self::house::{Door, Porthole, Side};
use self::planking::Planking;
use self::rail::{RAIL, Rail};
use self::wall_lamp::WallLamp;
use super::{Level, Source, Stage};
use crate::body::Plates;
use crate::light::Light;
use crate::material::{SHIP_GREY, SHIP_WHITE};
use crate::space::{Bounds, Vec3, v3};
use crate::trace::{Lamp, Shape};

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
        "020" => Some(shots::coiling()),
        "030" => Some(shots::late()),
        _ => None,
    }
}

/// The sources. Sky light has a later spectrum, which shows only where a shot's levels say that it has gone.
fn sources() -> Vec<Source> {
    let source = |name, light| Source { name, light, later: None, relit: true };
    let key = source("sky over the rail", Light::BlueHour);
    vec![
        Source { later: Some(Light::BlueHourLater), ..key },
        source("deck lamp", Light::DeckLamp),
        source("sky above", Light::Zenith),
        source("sky at the horizon", Light::Horizon),
        source("last light", Light::Afterglow),
    ]
}

/// Every source full.
fn steady(_: f64) -> Vec<Level> {
    vec![Level::FULL; SOURCES]
}

/// Seconds from the first to the last of 48 frames at 24 a second.
const DRIFT_SECONDS: f64 = 47.0 / 24.0;
/// What is lost by then, in stops.
const DRIFT_STOPS: f64 = -0.35;

/// The light goes: all sources fall together, so that one gain a frame brings the whole picture back, and the sky turns
/// a little warmer.
fn going(seconds: f64) -> Vec<Level> {
    let gone = (seconds / DRIFT_SECONDS).clamp(0.0, 1.0);
    vec![Level { level: (DRIFT_STOPS * gone).exp2(), gone }; SOURCES]
}

/// How a shot is lit.
#[derive(Debug, Clone, Copy, PartialEq)]
struct Lighting {
    /// Towards the middle of the open sky.
    key: Vec3,
    /// Level of the key, and of the sky all around.
    sky: [f64; 2],
    /// Level of the deck lamp at a metre.
    lamp: f64,
}

impl Lighting {
    /// The sky as key from a direction, as fill from above, and the deck lamp from behind.
    fn lamps(&self, lamp: &WallLamp) -> Vec<Lamp> {
        let [key, all] = self.sky;
        vec![
            Lamp::far(SKY, self.key, 0.22, key),
            Lamp::dome(SKY, v3(0.35, 0.94, 0.0), all),
            // The water sends a little of it up again.
            Lamp::dome(SKY, v3(0.5, -0.87, 0.0), 0.16 * all),
            Lamp::near(LAMP, lamp.bulb(), 0.06, self.lamp),
        ]
    }
}

/// Where the gap in the rail begins and ends, in z: the gangway goes out there in port.
const GANGWAY: [f64; 2] = [0.42, 1.92];

/// Where the face of the locker beside the deckhouse stands, in z; things hang there.
const LOCKER: f64 = -2.62;

/// What every shot has behind its crew.
fn ship(lamp: WallLamp) -> Vec<Box<dyn Shape>> {
    let locker = Bounds { least: v3(house::SIDE - 0.1, 0.0, -3.15), most: v3(-0.74, 2.02, LOCKER) };
    let on_side = |y: f64, z: f64| v3(house::SIDE, y, z);
    vec![
        Box::new(Planking { least: [house::SIDE - 0.02, -9.2], most: [RAIL + 0.12, 9.2] }),
        Box::new(Side { far: -8.2, near: 9.0 }),
        Box::new(Rail { athwart: false, at: RAIL, span: [-9.0, GANGWAY[0]] }),
        Box::new(Rail { athwart: false, at: RAIL, span: [GANGWAY[1], 9.0] }),
        Box::new(Guard { from: v3(RAIL, 0.98, GANGWAY[0]), wide: GANGWAY[1] - GANGWAY[0], sag: 0.14 }),
        Box::new(Guard { from: v3(RAIL, 0.55, GANGWAY[0]), wide: GANGWAY[1] - GANGWAY[0], sag: 0.11 }),
        Box::new(Rail { athwart: true, at: -9.0, span: [-4.0, RAIL] }),
        Box::new(Rail { athwart: true, at: 9.0, span: [-4.0, RAIL] }),
        Box::new(Boat { middle: v3(RAIL + 0.80, 2.95, -6.9) }),
        Box::new(Davit { foot: v3(RAIL + 0.02, 0.0, -5.2) }),
        Box::new(Davit { foot: v3(RAIL + 0.02, 0.0, -8.6) }),
        Box::new(Plates::new(locker, [0.82, 0.98], SHIP_WHITE, SHIP_GREY).rusty(0.2)),
        Box::new(Cowl { foot: v3(-0.36, 0.0, 7.4), high: 1.95 }),
        Box::new(Porthole { middle: on_side(1.55, -4.9), level: 2.6 }),
        Box::new(Porthole { middle: on_side(1.55, 0.15), level: 1.2 }),
        Box::new(Porthole { middle: on_side(1.55, 4.3), level: 2.6 }),
        Box::new(Door { foot: on_side(0.12, -1.05) }),
        Box::new(Door { foot: on_side(0.12, 2.9) }),
        Box::new(lamp),
    ]
}
