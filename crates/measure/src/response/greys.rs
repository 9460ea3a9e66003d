//! Greys: curves of red, green and blue, the gap between them, their slope.

use ops::MID_GREY;

use super::Candidate;
use crate::Tap;

/// A grey that was sent through a candidate.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Grey {
    /// The level that entered: stops or signal, as the ramp was asked for.
    pub level: f64,
    /// The numbers that left.
    pub out: [f64; 3],
    /// Their light, 1 at a perfect reflector or a display's white.
    pub light: [f64; 3],
}

impl Grey {
    /// Red less green and blue less green in the numbers that left: what a level or a code differs by.
    pub fn gap(&self) -> [f64; 2] {
        let [red, green, blue] = self.out;
        [red - green, blue - green]
    }

    /// Red and blue light over green, in stops; none where there is no light.
    pub fn gap_in_stops(&self) -> [Option<f64>; 2] {
        let [red, green, blue] = self.light;
        [stops_between(green, red), stops_between(green, blue)]
    }
}

fn stops_between(from: f64, to: f64) -> Option<f64> {
    (from > 0.0 && to > 0.0).then(|| (to / from).log2())
}

/// What stops are counted from at a tap, as light, with its name: mid grey in a scene, white on a display.
pub fn stops_of(tap: &Tap) -> (f64, &'static str) {
    if tap.is_scene() { (MID_GREY, "mid grey") } else { (1.0, "white") }
}

/// Greys of light from one stop to another, evenly apart in stops from [`stops_of`] the original; `count` of them, two at least.
pub fn over_stops<F: Fn([f64; 3]) -> [f64; 3]>(
    candidate: &Candidate<F>,
    first: f64,
    last: f64,
    count: usize,
) -> Vec<Grey> {
    let (unit, _) = stops_of(candidate.original());
    ramp(candidate, first, last, count, |stops| candidate.original().signal_of_light([unit * stops.exp2(); 3]))
}

/// Greys of the original's signal from 0 to 1, evenly apart; `count` of them, two at least.
pub fn over_signal<F: Fn([f64; 3]) -> [f64; 3]>(candidate: &Candidate<F>, count: usize) -> Vec<Grey> {
    ramp(candidate, 0.0, 1.0, count, |signal| [signal; 3])
}

fn ramp<F: Fn([f64; 3]) -> [f64; 3]>(
    candidate: &Candidate<F>,
    first: f64,
    last: f64,
    count: usize,
    numbers: impl Fn(f64) -> [f64; 3],
) -> Vec<Grey> {
    let steps = count.max(2) - 1;
    (0..=steps)
        .map(|at| {
            let level = first + (last - first) * at as f64 / steps as f64;
            let out = candidate.pixel(numbers(level));
            Grey { level, out, light: candidate.result().light(out) }
        })
        .collect()
}

/// The slope of each channel's light at each grey of a ramp over stops, in stops a stop, between the greys on both sides (at an
/// end: it and the one beside it). None where there is no light.
pub fn slopes(ramp: &[Grey]) -> Vec<[Option<f64>; 3]> {
    let last = ramp.len().saturating_sub(1);
    (0..ramp.len())
        .map(|at| {
            let (Some(low), Some(high)) = (ramp.get(at.saturating_sub(1)), ramp.get((at + 1).min(last))) else {
                return [None; 3];
            };
            [0, 1, 2].map(|channel| {
                let stops = stops_between(low.light[channel], high.light[channel])?;
                (high.level > low.level).then(|| stops / (high.level - low.level))
            })
        })
        .collect()
}
