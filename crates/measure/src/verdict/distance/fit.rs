//! The move from one set of colours to another, by least squares.

use colour::Matrix;
use ops::{MID_GREY, Signal};

use crate::Tap;
use crate::least_squares::{Unknown, least_squares};
use crate::readings::Tristimulus;
use crate::verdict::{TEN_BIT, difference};

/// Gains, black, contrast, saturation.
const NUMBERS: usize = 6;
/// What counts as much of one number as of another: a third of an octave of gain, twenty codes, a half.
const SCALES: [f64; NUMBERS] = [0.25, 0.25, 0.25, 20.0, 0.5, 0.5];
/// The most of any number, in scales: more is no shot of the same scene.
const MOST: f64 = 40.0;

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
    pub fn fit(&self, pairs: &[Pair], free: Free) -> Move {
        let wanted: Vec<[f64; 3]> = pairs.iter().map(|pair| self.codes(pair.to)).collect();
        let any = Unknown { start: 0.0, low: -MOST, high: MOST };
        let found = least_squares([any; NUMBERS], |at| {
            let by = move_of(at, free);
            let off = pairs.iter().zip(&wanted).flat_map(|(pair, wanted)| {
                let moved = self.moved(&by, pair.from);
                [0, 1, 2].map(|i| moved[i] - wanted[i])
            });
            off.collect()
        });
        move_of(&found, free)
    }
}

/// Numbers in scales from no move; those that are not free are not looked at, so that the search leaves them.
fn move_of(at: &[f64; NUMBERS], free: Free) -> Move {
    let [r, g, b, black, contrast, saturation] = std::array::from_fn(|i| at[i] * SCALES[i]);
    Move {
        gains: [r, g, b].map(f64::exp),
        black: if free.black { black } else { 0.0 },
        contrast: if free.contrast { 1.0 + contrast } else { 1.0 },
        saturation: if free.saturation { 1.0 + saturation } else { 1.0 },
    }
}
