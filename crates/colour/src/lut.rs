//! Look-up tables from three channels to three: a curve for each channel (1D), or a grid of colours (3D).
//!
//! A table says what comes out at evenly spaced inputs from the low to the high end of its domain, which each channel
//! has for itself. Inputs beyond an end get what the end gets. Between entries a 1D table is straight; a 3D table is
//! interpolated in the way that [`Interpolation`] names. Outputs may be any finite number.
//!
//! # Source
//! Cube LUT Specification 1.0 (2013): sizes, domain, order of entries. Academy S-2014-006 (CLF 3.0), appendix A:
//! tetrahedral and trilinear interpolation.

use serde::{Deserialize, Serialize};
use thiserror::Error;

/// What a table is indexed by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LutKind {
    /// Each channel by itself.
    OneD,
    /// The colour as a whole.
    ThreeD,
}

impl LutKind {
    /// The sizes there are: entries of a curve, or entries along each edge of the grid.
    pub fn sizes(self) -> std::ops::RangeInclusive<usize> {
        match self {
            Self::OneD => 2..=65536,
            Self::ThreeD => 2..=256,
        }
    }

    /// How many entries a table of this size has.
    pub fn entries(self, size: usize) -> usize {
        match self {
            Self::OneD => size,
            Self::ThreeD => size * size * size,
        }
    }

    /// `1D` or `3D`.
    pub fn name(self) -> &'static str {
        match self {
            Self::OneD => "1D",
            Self::ThreeD => "3D",
        }
    }
}

/// What is taken between the entries of a grid.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Interpolation {
    /// By four corners of the cell: a grey stays on the line between two greys.
    #[default]
    Tetrahedral,
    /// By all eight corners of the cell.
    Trilinear,
}

impl Interpolation {
    /// Both.
    pub const ALL: [Interpolation; 2] = [Self::Tetrahedral, Self::Trilinear];

    /// `tetrahedral` or `trilinear`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Tetrahedral => "tetrahedral",
            Self::Trilinear => "trilinear",
        }
    }
}

/// Why numbers are no table.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LutError {
    /// Too small or too large.
    #[error("a {} LUT has a size of {} to {}, not {size}", kind.name(), kind.sizes().start(), kind.sizes().end())]
    Size {
        /// Of which kind.
        kind: LutKind,
        /// Its size.
        size: usize,
    },
    /// Another count of entries than the size asks for.
    #[error("a {} LUT of size {size} has {} entries, not {found}", kind.name(), kind.entries(*size))]
    Entries {
        /// Of which kind.
        kind: LutKind,
        /// Its size.
        size: usize,
        /// How many there are.
        found: usize,
    },
    /// A number that is not finite or beyond [`Lut::LARGEST`].
    #[error("{0} is no number that a LUT can hold; it must be finite and within 1e37 of zero")]
    Number(f64),
    /// A domain without extent.
    #[error(
        "the domain from {low} to {high} has no extent; its high end must be above its low end by a millionth at least"
    )]
    Domain {
        /// Its low end.
        low: f64,
        /// Its high end.
        high: f64,
    },
}

/// A look-up table.
#[derive(Debug, Clone, PartialEq)]
pub struct Lut {
    kind: LutKind,
    size: usize,
    low: [f64; 3],
    high: [f64; 3],
    entries: Vec<[f64; 3]>,
}

impl Lut {
    /// Numbers in a table lie within this of zero.
    pub const LARGEST: f64 = 1e37;

    /// How wide a domain must be, relative to its larger end where that is above one: single floats tell its ends
    /// apart.
    const LEAST_WIDTH: f64 = 1e-6;

    /// A table over the domain from `low` to `high` of each channel. `entries` are red, green and blue: of a 1D table
    /// in the order of the input; of a 3D table `size` cubed of them, the red input changing first, then green, then
    /// blue.
    ///
    /// # Errors
    /// A size outside [`LutKind::sizes`], another count of entries than it asks for, numbers that are not finite or
    /// beyond [`Lut::LARGEST`], a domain without extent.
    pub fn new(
        kind: LutKind,
        size: usize,
        low: [f64; 3],
        high: [f64; 3],
        entries: Vec<[f64; 3]>,
    ) -> Result<Self, LutError> {
        if !kind.sizes().contains(&size) {
            return Err(LutError::Size { kind, size });
        }
        if entries.len() != kind.entries(size) {
            return Err(LutError::Entries { kind, size, found: entries.len() });
        }
        let odd = |number: &&f64| !number.is_finite() || number.abs() > Self::LARGEST;
        if let Some(&number) = low.iter().chain(&high).chain(entries.iter().flatten()).find(odd) {
            return Err(LutError::Number(number));
        }
        for (low, high) in low.into_iter().zip(high) {
            if high - low < Self::LEAST_WIDTH * low.abs().max(high.abs()).max(1.0) {
                return Err(LutError::Domain { low, high });
            }
        }
        Ok(Self { kind, size, low, high, entries })
    }

    /// The table of a function over the domain from `low` to `high` of each channel: what comes out for each input on
    /// the grid. For a 1D table each channel of the function must depend on that channel alone.
    ///
    /// # Errors
    /// As [`Lut::new`].
    pub fn of(
        kind: LutKind,
        size: usize,
        low: [f64; 3],
        high: [f64; 3],
        function: impl Fn([f64; 3]) -> [f64; 3],
    ) -> Result<Self, LutError> {
        if !kind.sizes().contains(&size) {
            return Err(LutError::Size { kind, size });
        }
        let input = |channel: usize, at: usize| {
            // Both ends are met exactly.
            let share = at as f64 / (size - 1) as f64;
            low[channel] * (1.0 - share) + high[channel] * share
        };
        let entry = |number: usize| match kind {
            LutKind::OneD => [0, 1, 2].map(|channel| input(channel, number)),
            LutKind::ThreeD => {
                [input(0, number % size), input(1, number / size % size), input(2, number / size / size)]
            }
        };
        Self::new(kind, size, low, high, (0..kind.entries(size)).map(|number| function(entry(number))).collect())
    }

    /// 1D or 3D.
    pub fn kind(&self) -> LutKind {
        self.kind
    }

    /// Entries of each curve, or along each edge of the grid.
    pub fn size(&self) -> usize {
        self.size
    }

    /// The low end of each channel's domain.
    pub fn low(&self) -> [f64; 3] {
        self.low
    }

    /// The high end of each channel's domain.
    pub fn high(&self) -> [f64; 3] {
        self.high
    }

    /// The entries, in the order of [`Lut::new`].
    pub fn entries(&self) -> &[[f64; 3]] {
        &self.entries
    }

    /// What comes out for any red, green and blue. `interpolation` is that of a 3D table; a 1D table has only one.
    pub fn look_up(&self, interpolation: Interpolation, rgb: [f64; 3]) -> [f64; 3] {
        let places = [0, 1, 2].map(|channel| self.place(channel, rgb[channel]));
        match (self.kind, interpolation) {
            (LutKind::OneD, _) => [0, 1, 2].map(|channel| {
                let Place { cell, part } = places[channel];
                self.entries[cell][channel] * (1.0 - part) + self.entries[cell + 1][channel] * part
            }),
            (LutKind::ThreeD, Interpolation::Tetrahedral) => self.tetrahedral(places),
            (LutKind::ThreeD, Interpolation::Trilinear) => self.trilinear(places),
        }
    }

    /// Where an input lies between the entries along its channel.
    fn place(&self, channel: usize, input: f64) -> Place {
        let (low, high) = (self.low[channel], self.high[channel]);
        let at = (input.clamp(low, high) - low) / (high - low) * (self.size - 1) as f64;
        // The high end is the end of the last cell.
        let cell = (at.floor() as usize).min(self.size - 2);
        Place { cell, part: at - cell as f64 }
    }

    fn corner(&self, places: [Place; 3], steps: [bool; 3]) -> [f64; 3] {
        let [red, green, blue] = [0, 1, 2].map(|channel| places[channel].cell + usize::from(steps[channel]));
        self.entries[red + self.size * (green + self.size * blue)]
    }

    /// From the low corner to the high one along the three edges in the order of the largest part first.
    fn tetrahedral(&self, places: [Place; 3]) -> [f64; 3] {
        let mut order = [0, 1, 2];
        order.sort_by(|&a, &b| places[b].part.total_cmp(&places[a].part));
        let parts = order.map(|channel| places[channel].part);
        let weights = [1.0 - parts[0], parts[0] - parts[1], parts[1] - parts[2], parts[2]];
        let mut steps = [false; 3];
        let mut sum = [0.0; 3];
        for (number, weight) in weights.into_iter().enumerate() {
            if number > 0 {
                steps[order[number - 1]] = true;
            }
            let corner = self.corner(places, steps);
            sum = [0, 1, 2].map(|channel| sum[channel] + weight * corner[channel]);
        }
        sum
    }

    fn trilinear(&self, places: [Place; 3]) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for number in 0..8 {
            let steps = [number & 1 != 0, number & 2 != 0, number & 4 != 0];
            let weight: f64 = places
                .iter()
                .zip(steps)
                .map(|(place, step)| if step { place.part } else { 1.0 - place.part })
                .product();
            let corner = self.corner(places, steps);
            sum = [0, 1, 2].map(|channel| sum[channel] + weight * corner[channel]);
        }
        sum
    }

    /// How steep the table is at most: for each input channel, the largest change of any output for a change of the
    /// input by one.
    pub fn steepest(&self) -> [f64; 3] {
        let strides = match self.kind {
            LutKind::OneD => [1; 3],
            LutKind::ThreeD => [1, self.size, self.size * self.size],
        };
        [0, 1, 2].map(|channel| {
            let stride = strides[channel];
            let steps = self.entries.iter().zip(self.entries.iter().skip(stride)).enumerate();
            // The last entry along the channel has no neighbour there.
            let inner = steps.filter(|(at, _)| at / stride % self.size != self.size - 1);
            let largest = inner
                .flat_map(|(_, (entry, next))| {
                    (0..3)
                        .filter(|&out| self.kind == LutKind::ThreeD || out == channel)
                        .map(|out| next[out] - entry[out])
                })
                .fold(0.0, |largest: f64, step| largest.max(step.abs()));
            largest * (self.size - 1) as f64 / (self.high[channel] - self.low[channel])
        })
    }
}

/// A place along one channel: which cell, and how far into it, 0 to 1.
#[derive(Debug, Clone, Copy)]
struct Place {
    cell: usize,
    part: f64,
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const UNIT: ([f64; 3], [f64; 3]) = ([0.0; 3], [1.0; 3]);

    fn any_lut() -> impl Strategy<Value = Lut> {
        let kind = prop_oneof![Just(LutKind::OneD), Just(LutKind::ThreeD)];
        (kind, 2usize..6).prop_flat_map(|(kind, size)| {
            let entry = [-2.0..2.0f64, -2.0..2.0, -2.0..2.0];
            let low = [-1.0..0.5f64, -1.0..0.5, -1.0..0.5];
            let width = [0.1..2.0f64, 0.1..2.0, 0.1..2.0];
            (low, width, proptest::collection::vec(entry, kind.entries(size))).prop_map(move |(low, width, entries)| {
                let high = [0, 1, 2].map(|channel| low[channel] + width[channel]);
                Lut::new(kind, size, low, high, entries).unwrap()
            })
        })
    }

    fn near(found: [f64; 3], wanted: [f64; 3]) -> bool {
        // A few roundings of numbers up to ten.
        (0..3).all(|channel| (found[channel] - wanted[channel]).abs() <= 1e-12)
    }

    proptest! {
        /// An entry is what comes out at its own input.
        #[test]
        fn entries_are_met(lut in any_lut()) {
            for interpolation in Interpolation::ALL {
                let met = Lut::of(lut.kind, lut.size, lut.low, lut.high, |rgb| lut.look_up(interpolation, rgb)).unwrap();
                for (found, wanted) in met.entries.iter().zip(&lut.entries) {
                    prop_assert!(near(*found, *wanted), "{found:?} {wanted:?}");
                }
            }
        }

        /// A straight function of the channels comes out as itself, whatever the interpolation, and its ends beyond.
        #[test]
        fn what_is_straight_stays_straight(
            size in 2usize..7, rgb in [-0.5..1.5f64, -0.5..1.5, -0.5..1.5], m in [[-1.0..1.0f64, -1.0..1.0, -1.0..1.0], [-1.0..1.0, -1.0..1.0, -1.0..1.0], [-1.0..1.0, -1.0..1.0, -1.0..1.0]],
        ) {
            let straight = |rgb: [f64; 3]| m.map(|row| row[0] * rgb[0] + row[1] * rgb[1] + row[2] * rgb[2] + 0.1);
            let lut = Lut::of(LutKind::ThreeD, size, UNIT.0, UNIT.1, straight).unwrap();
            for interpolation in Interpolation::ALL {
                let found = lut.look_up(interpolation, rgb);
                prop_assert!(near(found, straight(rgb.map(|channel| channel.clamp(0.0, 1.0)))));
            }
        }

        /// No output leaves the range of the entries, and no step is steeper than said.
        #[test]
        fn outputs_stay_among_the_entries(lut in any_lut(), a in [-2.0..3.0f64, -2.0..3.0, -2.0..3.0], by in -0.01..0.01f64, channel in 0usize..3) {
            for interpolation in Interpolation::ALL {
                let found = lut.look_up(interpolation, a);
                for (out, found) in found.iter().enumerate() {
                    let range = lut.entries.iter().map(|entry| entry[out]);
                    let (low, high) = (range.clone().fold(f64::MAX, f64::min), range.fold(f64::MIN, f64::max));
                    prop_assert!((low - 1e-12..=high + 1e-12).contains(found));
                }
                let mut b = a;
                b[channel] += by;
                let moved = lut.look_up(interpolation, b);
                for out in 0..3 {
                    prop_assert!((moved[out] - found[out]).abs() <= lut.steepest()[channel] * by.abs() + 1e-12);
                }
            }
        }
    }

    #[test]
    fn greys_stay_between_greys_by_four_corners_and_not_by_eight() {
        // Both ends of the grey diagonal are grey; the other corners are not.
        let entry = |rgb: [f64; 3]| if rgb[0] == rgb[1] && rgb[1] == rgb[2] { rgb } else { [1.0, 0.0, 0.5] };
        let lut = Lut::of(LutKind::ThreeD, 2, UNIT.0, UNIT.1, entry).unwrap();
        assert_eq!(lut.look_up(Interpolation::Tetrahedral, [0.25; 3]), [0.25; 3]);
        assert_ne!(lut.look_up(Interpolation::Trilinear, [0.25; 3]), [0.25; 3]);
    }

    #[test]
    fn numbers_that_are_no_table_are_refused() {
        let new = |kind, size, low: f64, high: f64, entries| Lut::new(kind, size, [low; 3], [high; 3], entries);
        let refused = |lut: Result<Lut, LutError>| lut.unwrap_err().to_string();
        let two = vec![[0.0; 3], [1.0; 3]];
        assert!(new(LutKind::OneD, 2, 0.0, 1.0, two.clone()).is_ok());
        assert!(refused(new(LutKind::OneD, 1, 0.0, 1.0, vec![[0.0; 3]])).contains("2 to 65536, not 1"));
        assert!(refused(new(LutKind::ThreeD, 257, 0.0, 1.0, Vec::new())).contains("2 to 256, not 257"));
        assert!(refused(new(LutKind::ThreeD, 2, 0.0, 1.0, two.clone())).contains("8 entries, not 2"));
        assert!(refused(new(LutKind::OneD, 2, 0.0, 1.0, vec![[0.0; 3], [f64::NAN; 3]])).contains("NaN"));
        assert!(refused(new(LutKind::OneD, 2, 0.0, 1.0, vec![[0.0; 3], [1e38; 3]])).contains("1e37"));
        assert!(refused(new(LutKind::OneD, 2, 1.0, 1.0, two.clone())).contains("no extent"));
        assert!(refused(new(LutKind::OneD, 2, 1.0, 0.0, two)).contains("no extent"));
        assert!(Lut::of(LutKind::OneD, 1, [0.0; 3], [1.0; 3], |rgb| rgb).is_err());
    }
}
