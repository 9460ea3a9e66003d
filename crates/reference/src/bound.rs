//! How far f32 may be from the proof, computed for each pixel from the proof's own sensitivity.
//!
//! An error `e` is carried through the chain. Each step passes on what the error of each channel,
//! with the rounding of that channel in f32, can do to the result, and adds the step's own budget:
//! `e' = sum over channels |f(x +- (e + 8 u |x|)) - f(x)| + ulps u max|f(x)| + floor`, u = 2^-24.
//! Next to a pole a step adds what its inner roundings come to there. There is no constant to tune per test.

use ops::{Budget, Mix};

use crate::Proof;
use crate::proof::{Joining, Prepared};

/// Half a unit in the last place of f32, relative.
const U: f64 = 1.0 / 16_777_216.0;

/// Roundings of a channel on its way into a step: loads, merged constants and fused products, at most this many.
const ROUNDINGS: f64 = 8.0;

/// What the proof gives and how far f32 may be from it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Bound {
    /// The proof's answer.
    pub value: [f64; 3],
    /// The largest honest deviation of each channel.
    pub deviation: [f64; 3],
}

impl Proof {
    /// The proof's answer for a pixel with the deviation that f32 may have.
    pub fn bound(&self, rgb: [f64; 3]) -> Bound {
        let start = Bound { value: rgb, deviation: rgb.map(|channel| channel.abs() * U) };
        let mut values = vec![start];
        for stage in &self.stages {
            let picture = |at: usize| values.get(at).copied().unwrap_or(start);
            let mut made = stage.steps.iter().fold(picture(stage.input), carry);
            if let Some(Joining { side, steps, mix, leave }) = &stage.joining {
                let side = steps.iter().fold(picture(*side), carry);
                made = leave.iter().fold(mixed(mix, made, side), carry);
            }
            values.push(made);
        }
        values.get(self.result).copied().unwrap_or(start)
    }
}

/// Both errors by their shares, and the rounding of both terms, however nearly they cancel.
fn mixed(mix: &Mix, main: Bound, side: Bound) -> Bound {
    let value = mix.eval(main.value, side.value);
    let largest = mix.largest_term(main.value, side.value);
    let own = own(mix.budget(), [largest; 3]);
    let deviation = std::array::from_fn(|channel| {
        (1.0 - mix.share) * main.deviation[channel] + mix.share * side.deviation[channel] + own[channel]
    });
    Bound { value, deviation }
}

fn carry(at: Bound, step: &Prepared) -> Bound {
    let value = (step.eval)(at.value);
    let mut deviation = own(step.budget, value);
    for channel in 0..3 {
        let reach = at.deviation[channel] + ROUNDINGS * U * at.value[channel].abs();
        let moved = [reach, -reach].map(|by| {
            let mut rgb = at.value;
            rgb[channel] += by;
            (step.eval)(rgb)
        });
        for out in 0..3 {
            deviation[out] += (moved[0][out] - value[out]).abs().max((moved[1][out] - value[out]).abs());
        }
    }
    if let Some(inner) = &step.inner_rounding {
        let inner = inner(at.value);
        (0..3).for_each(|channel| deviation[channel] += inner[channel]);
    }
    Bound { value, deviation }
}

fn own(budget: Budget, value: [f64; 3]) -> [f64; 3] {
    let largest = value.iter().fold(0.0f64, |largest, channel| largest.max(channel.abs()));
    [budget.ulps * U * largest + budget.floor + 1e-9; 3]
}
