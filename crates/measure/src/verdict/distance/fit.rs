//! The move from one set of colours to another, by least squares.

use colour::Matrix;
use ops::{MID_GREY, Signal};

use crate::Tap;
use crate::readings::Tristimulus;
use crate::verdict::{TEN_BIT, difference};

/// Gains, black, contrast, saturation.
const NUMBERS: usize = 6;
/// What counts as much of one number as of another: a third of an octave of gain, twenty codes, a half.
const SCALES: [f64; NUMBERS] = [0.25, 0.25, 0.25, 20.0, 0.5, 0.5];
/// Steps of the search; it ends sooner where a step changes nothing.
const STEPS: usize = 60;
/// Half of a difference that stands for a derivative, in scales.
const NUDGE: f64 = 1e-4;

/// A colour in the anchor and in the shot, CIE XYZ.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Pair {
    /// In the anchor.
    pub from: [f64; 3],
    /// In the shot.
    pub to: [f64; 3],
}

impl Pair {
    /// Whether both have luminance.
    pub fn has_light(&self) -> bool {
        [self.from, self.to].iter().all(|xyz| xyz[1] > 0.0 && xyz.iter().all(|v| v.is_finite()))
    }
}

/// What becomes of an anchor's colours; the formula stands in the module above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Move {
    /// Factors of red, green and blue light on AP1.
    pub gains: [f64; 3],
    /// 10-bit codes added to the shown signal.
    pub black: f64,
    /// Stops a stop, about mid grey.
    pub contrast: f64,
    /// Distance from grey, as a factor.
    pub saturation: f64,
}

impl Default for Move {
    fn default() -> Move {
        Move { gains: [1.0; 3], black: 0.0, contrast: 1.0, saturation: 1.0 }
    }
}

/// Which numbers are looked for beside the gains; the others stay those of no move.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Free {
    pub black: bool,
    pub contrast: bool,
    pub saturation: bool,
}

impl Free {
    pub const ALL: Free = Free { black: true, contrast: true, saturation: true };

    fn numbers(self) -> [bool; NUMBERS] {
        [true, true, true, self.black, self.contrast, self.saturation]
    }
}

/// Light on AP1 of CIE XYZ with white D65.
pub fn ap1(xyz: [f64; 3]) -> [f64; 3] {
    Tap::new(Signal::scene()).light_of_xyz(xyz).unwrap_or(xyz)
}

/// The ways between CIE XYZ, light on AP1 and the shown signal.
pub struct Space {
    own: Tap,
    ap1_from_xyz: Matrix,
    xyz_from_ap1: Matrix,
    own_from_xyz: Matrix,
    weights: [f64; 3],
}

impl Space {
    /// Of a tap; none for primaries that span no colours.
    pub fn of(shown: &Tap) -> Option<Space> {
        let scene = Tap::new(Signal::scene());
        Some(Space {
            ap1_from_xyz: scene.xyz_from_light().inverse()?,
            xyz_from_ap1: scene.xyz_from_light(),
            own_from_xyz: shown.xyz_from_light().inverse()?,
            weights: scene.signal().primaries.luminance_weights(),
            own: shown.clone(),
        })
    }

    /// The shown signal of CIE XYZ, in 10-bit codes.
    fn codes(&self, xyz: [f64; 3]) -> [f64; 3] {
        let light = self.own_from_xyz.apply(xyz);
        let signal = if self.own.is_scene() {
            light.map(|v| v.abs().powf(1.0 / 2.4).copysign(v))
        } else {
            self.own.signal_of_light(light)
        };
        signal.map(|v| TEN_BIT * v)
    }

    /// CIE XYZ of codes.
    fn xyz_of_codes(&self, codes: [f64; 3]) -> [f64; 3] {
        let signal = codes.map(|v| v / TEN_BIT);
        self.own.xyz(if self.own.is_scene() {
            signal.map(|v| v.abs().powf(2.4).copysign(v))
        } else {
            self.own.light(signal)
        })
    }

    /// A colour with codes of black taken off.
    pub fn without_black(&self, xyz: [f64; 3], black: f64) -> [f64; 3] {
        self.xyz_of_codes(self.codes(xyz).map(|code| code - black))
    }

    /// A moved colour, in codes.
    fn moved(&self, by: &Move, xyz: [f64; 3]) -> [f64; 3] {
        let light = self.ap1_from_xyz.apply(xyz);
        let y: f64 = light.iter().zip(self.weights).map(|(v, weight)| v * weight).sum();
        let gain = if y > 0.0 { (y / MID_GREY).powf(by.contrast - 1.0) } else { 1.0 };
        let light = [0, 1, 2].map(|i| (y + by.saturation * (light[i] - y)) * gain * by.gains[i]);
        self.codes(self.xyz_from_ap1.apply(light)).map(|code| code + by.black)
    }

    /// Where a grey of this luminance moves to by the gains alone, in CIE XYZ.
    pub fn xyz_moved(&self, by: &Move, luminance: f64) -> [f64; 3] {
        self.xyz_from_ap1.apply(by.gains.map(|gain| gain * luminance))
    }

    /// The mean colour difference that a move leaves.
    pub fn rest(&self, pairs: &[Pair], by: &Move, shown: &Tap) -> f64 {
        let colour = |xyz| Tristimulus { xyz, white_nits: shown.white_nits() };
        let left = |pair: &Pair| difference(&colour(self.xyz_of_codes(self.moved(by, pair.from))), &colour(pair.to));
        pairs.iter().map(left).sum::<f64>() / pairs.len().max(1) as f64
    }

    /// The move that leaves the least squares of codes.
    ///
    /// # Source
    /// D. Marquardt, An Algorithm for Least-Squares Estimation of Nonlinear Parameters, 1963 (from memory).
    pub fn fit(&self, pairs: &[Pair], free: Free) -> Move {
        let wanted: Vec<[f64; 3]> = pairs.iter().map(|pair| self.codes(pair.to)).collect();
        let off = |at: &[f64; NUMBERS]| -> Vec<f64> {
            let by = move_of(at);
            let off = pairs.iter().zip(&wanted).flat_map(|(pair, wanted)| {
                let moved = self.moved(&by, pair.from);
                [0, 1, 2].map(|i| moved[i] - wanted[i])
            });
            off.collect()
        };
        let squares = |off: &[f64]| off.iter().map(|v| v * v).sum::<f64>();
        let numbers = free.numbers();
        let mut at = [0.0; NUMBERS];
        let mut now = off(&at);
        let mut damping = 1e-3;
        for _ in 0..STEPS {
            let slopes: Vec<Vec<f64>> = (0..NUMBERS)
                .map(|number| {
                    let nudged = |by: f64| off(&std::array::from_fn(|i| at[i] + if i == number { by } else { 0.0 }));
                    let pair = nudged(NUDGE).into_iter().zip(nudged(-NUDGE));
                    pair.map(|(above, below)| (above - below) / (2.0 * NUDGE)).collect()
                })
                .collect();
            let product = |a: &[f64], b: &[f64]| a.iter().zip(b).map(|(a, b)| a * b).sum::<f64>();
            let mut rows: [[f64; NUMBERS + 1]; NUMBERS] = [[0.0; NUMBERS + 1]; NUMBERS];
            for (row, (own, free)) in rows.iter_mut().zip(slopes.iter().zip(numbers)) {
                for (cell, (other, free_too)) in row.iter_mut().zip(slopes.iter().zip(numbers)) {
                    *cell = if free && free_too { product(own, other) } else { 0.0 };
                }
                row[NUMBERS] = if free { -product(own, &now) } else { 0.0 };
            }
            // What tells nothing stays where it is.
            let most = (0..NUMBERS).map(|i| rows[i][i]).fold(f64::MIN_POSITIVE, f64::max);
            (0..NUMBERS).for_each(|i| rows[i][i] += damping * rows[i][i] + 1e-12 * most);
            let Some(step) = solve(rows) else { break };
            let next: [f64; NUMBERS] = std::array::from_fn(|i| at[i] + step[i]);
            let then = off(&next);
            let (before, after) = (squares(&now), squares(&then));
            if after <= before {
                (at, now) = (next, then);
                damping = f64::max(damping / 10.0, 1e-12);
                if before - after <= 1e-14 * before {
                    break;
                }
            } else if damping > 1e12 {
                break;
            } else {
                // No number is not above; it is turned away too.
                damping *= 10.0;
            }
        }
        move_of(&at)
    }
}

/// Numbers in scales from no move.
fn move_of(at: &[f64; NUMBERS]) -> Move {
    let [r, g, b, black, contrast, saturation] = std::array::from_fn(|i| at[i] * SCALES[i]);
    Move { gains: [r, g, b].map(f64::exp), black, contrast: 1.0 + contrast, saturation: 1.0 + saturation }
}

/// Solves linear equations by elimination, the largest pivot first; the last column is the right side. None where they are
/// not independent.
fn solve(mut rows: [[f64; NUMBERS + 1]; NUMBERS]) -> Option<[f64; NUMBERS]> {
    for at in 0..NUMBERS {
        let pivot = (at..NUMBERS).max_by(|a, b| rows[*a][at].abs().total_cmp(&rows[*b][at].abs()))?;
        rows.swap(at, pivot);
        let first = rows[at];
        if first[at] == 0.0 || first[at].is_nan() {
            return None;
        }
        for (index, row) in rows.iter_mut().enumerate() {
            if index != at {
                let share = row[at] / first[at];
                row.iter_mut().zip(first).for_each(|(cell, of_first)| *cell -= share * of_first);
            }
        }
    }
    Some(std::array::from_fn(|i| rows[i][NUMBERS] / rows[i][i]))
}
