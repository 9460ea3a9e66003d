//! The pixels that every executor is tried on: ramps, extremes, and both sides of every break.

use ops::{Constant, Pointwise as _};

/// Light of a mid-grey card.
const GREY: f32 = 0.18;

/// Random pixels of a set.
const RANDOM: usize = 4096;

/// A small generator of its own (SplitMix64), so that a set is the same on every machine.
#[derive(Debug, Clone)]
pub struct Random(u64);

impl Random {
    /// Begins at a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    /// Evenly from `low` to `high`.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * ((self.bits() >> 11) as f64 / (1u64 << 53) as f64)
    }

    /// One of some choices.
    ///
    /// # Panics
    /// There must be a choice.
    pub fn of<'a, T>(&mut self, choices: &'a [T]) -> &'a T {
        &choices[(self.bits() % choices.len() as u64) as usize]
    }
}

/// The whole set: ramps of light and of code, negatives, primaries, colours outside every gamut, both
/// sides of `breaks`, numbers far outside any picture, and 4096 random pixels.
pub fn all(breaks: &[f64]) -> Vec<[f32; 3]> {
    let mut pixels = pictures(breaks);
    pixels.extend(hostile());
    pixels
}

/// As [`all`] without the numbers that no picture holds.
pub fn pictures(breaks: &[f64]) -> Vec<[f32; 3]> {
    let mut pixels = ramps();
    pixels.extend(colours());
    pixels.extend(breaks.iter().flat_map(|&at| around(at)));
    pixels.extend(random());
    pixels
}

/// Grey from 14 stops below mid grey to 14 above, its negative, and code from -0.25 to 1.25.
fn ramps() -> Vec<[f32; 3]> {
    let quarters = -14 * 4..=14 * 4;
    let light = quarters.map(|quarter| GREY * (quarter as f32 / 4.0).exp2());
    let code = (-64..=320).map(|step| step as f32 / 256.0);
    light.flat_map(|grey| [grey, -grey]).chain(code).map(|grey| [grey; 3]).collect()
}

/// Pure and mixed primaries from black to a light source, saturated and impossible colours.
fn colours() -> Vec<[f32; 3]> {
    let shapes = [
        [1.0, 0.0, 0.0],
        [0.0, 1.0, 0.0],
        [0.0, 0.0, 1.0],
        [1.0, 1.0, 0.0],
        [0.0, 1.0, 1.0],
        [1.0, 0.0, 1.0],
        [1.0, -0.3, -0.1],
        [-0.4, 1.0, -0.2],
        [-0.1, -0.5, 1.0],
        [-1.0, 0.02, 0.5],
        [1.0, 0.999, 0.001],
        [0.9, 0.2, 0.05],
    ];
    let sizes = [1e-4, 0.01, 0.09, 0.18, 0.5, 0.9, 1.0, 4.0, 40.0, 1000.0];
    shapes.iter().flat_map(|shape| sizes.map(|size| shape.map(|channel| channel * size))).collect()
}

/// 1 to 8 steps of f32 and 1e-4 on both sides of a break and of its negative, in grey and across the channels.
fn around(at: f64) -> Vec<[f32; 3]> {
    let near = |centre: f32| {
        let mut values = vec![centre, centre + 1e-4, centre - 1e-4];
        let (mut up, mut down) = (centre, centre);
        for _ in 0..8 {
            (up, down) = (up.next_up(), down.next_down());
            values.extend([up, down]);
        }
        values
    };
    let values: Vec<f32> = [at as f32, -(at as f32)].into_iter().flat_map(near).collect();
    let across = values.iter().map(|&value| [value, 1.0 - value, 0.18]);
    values.iter().map(|&value| [value; 3]).chain(across).collect()
}

/// Half of them code from -0.1 to 1.1, half of them light of any size and sign.
fn random() -> Vec<[f32; 3]> {
    let mut random = Random::new(20_260_101);
    (0..RANDOM)
        .map(|index| {
            if index % 2 == 0 {
                return std::array::from_fn(|_| random.between(-0.1, 1.1) as f32);
            }
            std::array::from_fn(|_| {
                let sign = if random.bits().is_multiple_of(4) { -1.0 } else { 1.0 };
                (sign * 0.18 * random.between(-14.0, 14.0).exp2()) as f32
            })
        })
        .collect()
}

/// Numbers that no picture holds but a file can.
pub fn hostile() -> Vec<[f32; 3]> {
    let values = [0.0, -0.0, 1e-30, -1e-30, 1e6, -1e6, 65504.0];
    let mut pixels: Vec<[f32; 3]> = values.iter().map(|&value| [value; 3]).collect();
    for &value in &values {
        pixels.extend([[value, 0.18, 0.18], [0.18, value, -value], [0.0, -value, value], [value, 1e6, 0.5]]);
    }
    pixels
}

/// Those of [`pictures`] that a file of a signal can hold as a picture: all light, but code with half its scale to
/// spare on either side.
pub fn fitting(signal: &ops::Signal, breaks: &[f64]) -> Vec<[f32; 3]> {
    let fits = |pixel: &[f32; 3]| signal.curve.is_linear() || pixel.iter().all(|code| (-0.5..=1.5).contains(code));
    pictures(breaks).into_iter().filter(fits).collect()
}

/// Where the branches of a chain's curves meet, in each curve's own input.
pub fn breaks(elaborated: &graph::Elaborated) -> Vec<f64> {
    let plan = plan::Plan::new(elaborated, plan::Level::None);
    let constants = plan.steps().into_iter().flat_map(|step| step.point.derive(&step.takes).constants);
    let mut breaks: Vec<f64> = constants
        .filter_map(|(_, constant)| match constant {
            // Beyond a million is a break that is never reached.
            Constant::Break(at) if at.abs() < 1e6 => Some(at),
            _ => None,
        })
        .collect();
    breaks.sort_by(f64::total_cmp);
    breaks.dedup();
    breaks
}
