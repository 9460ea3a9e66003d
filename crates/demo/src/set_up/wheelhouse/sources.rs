//! The wheelhouse's sources of light and how strong each is at a moment.

use std::f64::consts::TAU;

use crate::light::Light;
use crate::set_up::{Level, Source};

/// The fluorescent tubes: key, fill and rim.
pub const TUBES: usize = 0;
/// The radar's screen.
pub const RADAR: usize = 1;
/// The red lamp, by which a watch-keeper's eyes stay used to the dark.
pub const RED: usize = 2;
/// What is left of the evening, behind the panes.
pub const NIGHT: usize = 3;
/// Lamps on the shore.
pub const HARBOUR: usize = 4;

/// All sources, by their numbers.
pub fn all() -> Vec<Source> {
    let signal = |name, light| Source { name, light, later: None, relit: false };
    vec![
        Source { name: "tubes", light: Light::Tubes, later: None, relit: true },
        signal("radar", Light::Radar),
        signal("red lamp", Light::RedLamp),
        signal("night sky", Light::Zenith),
        signal("harbour lamps", Light::DeckLamp),
    ]
}

/// Tubes on a mains of 50 Hz flicker a hundred times a second. At 24 frames a second that is seen as a beat of four a
/// second, one in six frames; .08 stop from top to bottom.
const BEATS: f64 = 100.0 - 4.0 * 24.0;
const FLICKER_STOPS: f64 = 0.08;

/// Every source at a moment in seconds; the tubes are full at the first frame.
pub fn levels(seconds: f64) -> Vec<Level> {
    let below = FLICKER_STOPS * (0.5 - 0.5 * (TAU * BEATS * seconds).cos());
    let tubes = Level { level: (-below).exp2(), gone: 0.0 };
    vec![tubes, Level::FULL, Level::FULL, Level::FULL, Level::FULL]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_tubes_flicker_by_eight_hundredths_of_a_stop() {
        let stops: Vec<f64> = (0..48).map(|frame| levels(f64::from(frame) / 24.0)[TUBES].level.log2()).collect();
        let (least, most) = stops.iter().fold((0.0_f64, -1.0_f64), |(a, b), &s| (a.min(s), b.max(s)));
        assert!((most - least - 0.08).abs() < 1e-9 && most == 0.0, "{least} {most}");
        assert!((stops[1] - stops[7]).abs() < 1e-9 && (stops[0] - stops[1]).abs() > 0.01);
        assert_eq!(levels(0.3).len(), all().len());
    }
}
