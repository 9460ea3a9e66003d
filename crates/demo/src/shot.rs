//! The three shots: the crew of a night ferry, on deck, in the galley and in the wheelhouse.

use crate::geometry::at;
use crate::light::Light;
use crate::set::{Layout, Wall};

/// A shot as planned: its set, its light, and how far its exposure is off.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shot {
    /// Scene and number, as on the slate.
    pub name: &'static str,
    /// What the light is.
    pub light: Light,
    /// Stops by which the shot is over (plus) or under (minus).
    pub exposure_error_stops: f64,
    /// Id of the camera encoding.
    pub encoding: &'static str,
    /// Where things are.
    pub layout: Layout,
}

/// Towards a key high on the left, and the same from the right.
const FROM_LEFT: [f64; 3] = [-0.452, -0.542, 0.708];
const FROM_RIGHT: [f64; 3] = [0.452, -0.542, 0.708];

/// The shots of the demo, in order.
pub const SHOTS: [Shot; 3] = [
    Shot {
        name: "deck_010",
        light: Light::BlueHour,
        exposure_error_stops: -1.0,
        encoding: "LogC3",
        layout: Layout {
            wall: Wall::Plates,
            key: FROM_LEFT,
            vest: at(2.15, 2.75),
            rope: at(5.25, 0.62),
            mug: 3.35,
            card: 4.85,
            chart: 7.25,
            herbs: 14.05,
            pan: at(13.85, 3.25),
            porthole: at(9.55, 2.0),
            trap: 1.55,
        },
    },
    Shot {
        name: "galley_010",
        light: Light::Tungsten,
        exposure_error_stops: 0.0,
        encoding: "LogC3",
        layout: Layout {
            wall: Wall::Boards,
            key: FROM_RIGHT,
            vest: at(14.05, 2.95),
            rope: at(11.1, 0.62),
            mug: 12.0,
            card: 9.0,
            chart: 4.7,
            herbs: 2.15,
            pan: at(2.35, 3.15),
            porthole: at(6.6, 2.0),
            trap: 14.3,
        },
    },
    Shot {
        name: "wheelhouse_010",
        light: Light::Tubes,
        exposure_error_stops: 0.5,
        encoding: "LogC3",
        layout: Layout {
            wall: Wall::Panels,
            key: FROM_LEFT,
            vest: at(10.0, 2.62),
            rope: at(14.0, 1.0),
            mug: 11.95,
            card: 8.85,
            chart: 4.6,
            herbs: 2.45,
            pan: at(6.0, 3.2),
            porthole: at(2.0, 2.45),
            trap: 14.3,
        },
    },
];
