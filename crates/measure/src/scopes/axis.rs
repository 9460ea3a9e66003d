//! An axis of a scope: what it counts, over which range, in how many bins.
//!
//! The same few operations bin a value here and in a kernel. A float is `slot = floor(value * scale + offset)` in single
//! float (on an axis in stops of log2(value)); an integer code is `(2 (code - first) + 1) * bins / (2 count)` in unsigned
//! 32-bit integers, which is the same number without rounding.

use colour::{CodeRange, range};
use ops::MID_GREY;

use super::labels::{self, Tick};

/// The most bins of an axis: with 16-bit codes the integer formula then stays in 32 bits.
pub const MOST_BINS: u32 = 1 << 14;

/// Half the span of a colour difference axis: full excursion is 0.5, the rest keeps it off the edge.
const CHROMA_REACH: f64 = 0.6;

/// How bins lie on what is counted.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Span {
    /// Whole codes, `count` of them from `first` on, shared out over the bins. Signal = (code - offset) / scale.
    Codes {
        /// The depth of the codes.
        bits: u32,
        /// The lowest code in the first bin.
        first: i32,
        /// Codes from the first to the last.
        count: u32,
        /// Codes in a signal of 1.
        scale: f64,
        /// The code of signal 0.
        offset: f64,
    },
    /// Evenly spaced values; the middle of the first bin and of the last one.
    Even {
        /// The middle of the first bin.
        first: f64,
        /// The middle of the last bin.
        last: f64,
    },
    /// Evenly spaced in stops from mid grey; values are linear light, 0.18 at mid grey.
    Stops {
        /// The middle of the first bin, in stops.
        first: f64,
        /// The middle of the last bin, in stops.
        last: f64,
    },
}

/// One axis. Beyond its bins lies one slot at each end: slot 0 for what is below, `bins + 1` for what is above, so that
/// nothing that has a value is lost.
#[derive(Debug, Clone, PartialEq)]
pub struct Axis {
    /// What the figures along it are: `10-bit code`, `% of signal`, `nits`, `stops from mid grey`, `Cb`.
    pub name: String,
    /// Where figures stand.
    pub ticks: Vec<Tick>,
    span: Span,
    bins: u32,
    /// Scale and offset as single floats.
    single: [f32; 2],
}

impl Axis {
    /// All codes of a depth (held to 8 to 16 bits) and range, over at most as many bins. Counts integer codes and signal alike.
    pub fn codes(bits: u32, codes: CodeRange, bins: u32) -> Axis {
        let bits = bits.clamp(8, 16);
        let (scale, offset) = range::scale_and_offset(bits, codes);
        let count = range::largest_code(bits) + 1;
        let span = Span::Codes { bits, first: 0, count, scale, offset };
        Axis::new(format!("{bits}-bit code"), labels::codes(bits, codes), span, bins.min(count))
    }

    /// Signal from -10 to 110 %, or whatever `first` and `last` say (1 is 100 %).
    pub fn signal(first: f64, last: f64, bins: u32) -> Axis {
        Axis::new("% of signal".into(), labels::percent(), Span::Even { first, last }, bins)
    }

    /// Scene light in stops from mid grey.
    pub fn stops(first: f64, last: f64, bins: u32) -> Axis {
        Axis::new("stops from mid grey".into(), labels::stops(first, last), Span::Stops { first, last }, bins)
    }

    /// Colour difference as signal, -0.6 to 0.6. The bins are made odd, so that no colour is the middle of one.
    pub fn difference(name: &str, bins: u32) -> Axis {
        let span = Span::Even { first: -CHROMA_REACH, last: CHROMA_REACH };
        Axis::new(name.into(), labels::even(-0.5, 0.5, 0.25), span, odd(bins))
    }

    /// Colour difference in the codes of a depth and range, as far as [`Axis::difference`] and with odd bins too.
    pub fn difference_codes(name: &str, bits: u32, codes: CodeRange, bins: u32) -> Axis {
        let bits = bits.clamp(8, 16);
        let (scale, offset) = range::chroma_scale_and_offset(bits, codes);
        let reach = (CHROMA_REACH * scale).ceil() as i32;
        let count = 2 * reach.unsigned_abs() + 1;
        let span = Span::Codes { bits, first: offset as i32 - reach, count, scale, offset };
        Axis::new(format!("{name}, {bits}-bit code"), labels::difference_codes(bits, codes), span, odd(bins.min(count)))
    }

    /// A chromaticity coordinate.
    pub fn coordinate(name: &str, first: f64, last: f64, bins: u32) -> Axis {
        Axis::new(name.into(), labels::even(first, last, 0.1), Span::Even { first, last }, bins)
    }

    fn new(name: String, ticks: Vec<Tick>, span: Span, bins: u32) -> Axis {
        let mut axis = Axis { name, ticks, span, bins: bins.clamp(2, MOST_BINS), single: [0.0; 2] };
        axis.single = axis.scale_and_offset().map(|v| v as f32);
        axis.keep_ticks_inside();
        axis
    }

    /// The same bins under other figures.
    #[must_use]
    pub fn labelled(mut self, name: impl Into<String>, ticks: Vec<Tick>) -> Axis {
        self.name = name.into();
        self.ticks = ticks;
        self.keep_ticks_inside();
        self
    }

    fn keep_ticks_inside(&mut self) {
        let ticks = std::mem::take(&mut self.ticks);
        self.ticks = ticks.into_iter().filter(|tick| self.holds(tick.value)).collect();
    }

    /// How the bins lie.
    pub fn span(&self) -> Span {
        self.span
    }

    /// The depth of the codes it counts, if it counts codes.
    pub fn code_bits(&self) -> Option<u32> {
        if let Span::Codes { bits, .. } = self.span { Some(bits) } else { None }
    }

    /// Whether its values are linear light: an axis in stops.
    pub fn is_of_light(&self) -> bool {
        matches!(self.span, Span::Stops { .. })
    }

    /// Bins without the slots at both ends.
    pub fn bins(&self) -> u32 {
        self.bins
    }

    /// Bins and the slots at both ends.
    pub fn slots(&self) -> u32 {
        self.bins + 2
    }

    /// `[scale, offset]` (a kernel takes them as single floats) of the position of a value in bins, 0 at the lower edge of the first one. On an axis in stops the
    /// value is log2 of the light.
    pub fn scale_and_offset(&self) -> [f64; 2] {
        let even = |first: f64, last: f64, zero: f64| {
            let scale = f64::from(self.bins - 1) / (last - first);
            [scale, 0.5 - (first + zero) * scale]
        };
        match self.span {
            Span::Codes { first, count, scale, offset, .. } => {
                let a_code = f64::from(self.bins) / f64::from(count);
                [scale * a_code, (offset - f64::from(first) + 0.5) * a_code]
            }
            Span::Even { first, last } => even(first, last, 0.0),
            Span::Stops { first, last } => even(first, last, MID_GREY.log2()),
        }
    }

    /// The position of a value in bins, 0 at the lower edge of the first one: for drawing. Not finite for light of 0 on an
    /// axis in stops.
    pub fn position(&self, value: f64) -> f64 {
        let [scale, offset] = self.scale_and_offset();
        let value = if self.is_of_light() { value.log2() } else { value };
        value * scale + offset
    }

    /// The slot of a value, signal or light; none for NaN. In single float, as a kernel does it; light of 0 or less lies
    /// below every stop.
    pub fn slot(&self, value: f32) -> Option<u32> {
        let [scale, offset] = self.single;
        let value = match self.span {
            Span::Stops { .. } if value <= 0.0 => return Some(0),
            Span::Stops { .. } => value.log2(),
            _ => value,
        };
        let position = value * scale + offset;
        if position.is_nan() {
            None
        } else if position < 0.0 {
            Some(0)
        } else if position >= self.bins as f32 {
            Some(self.bins + 1)
        } else {
            Some(position as u32 + 1)
        }
    }

    /// The slot of an integer code; none where the axis does not count codes.
    pub fn slot_of_code(&self, code: i32) -> Option<u32> {
        let Span::Codes { first, count, .. } = self.span else { return None };
        let from_first = code.saturating_sub(first);
        if from_first < 0 {
            Some(0)
        } else if from_first.unsigned_abs() >= count {
            Some(self.bins + 1)
        } else {
            Some((2 * from_first.unsigned_abs() + 1) * self.bins / (2 * count) + 1)
        }
    }

    fn holds(&self, value: f64) -> bool {
        let position = self.position(value);
        position >= 0.0 && position <= f64::from(self.bins)
    }
}

/// The next odd number of bins that an axis may have.
fn odd(bins: u32) -> u32 {
    bins.min(MOST_BINS - 1) | 1
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn a_code_and_its_signal_fall_into_one_bin(bits in 8u32..=16, share in 0.0f64..1.0, legal: bool, halvings in 0u32..4) {
            let codes = if legal { CodeRange::Legal } else { CodeRange::Full };
            let axis = Axis::codes(bits, codes, (1 << bits) >> halvings);
            let code = (share * f64::from(1 << bits)) as u32;
            let signal = range::signal_from_code(bits, codes, code) as f32;
            // Edges of bins lie halfway between codes, out of a float's reach, while there are no more bins than half a
            // float's digits tell apart.
            prop_assert_eq!(axis.slot(signal), axis.slot_of_code(code as i32));
        }

        #[test]
        fn slots_rise_with_the_value(low in -3.0f32..3.0, more in 0.0f32..2.0, bins in 2u32..2000) {
            for axis in [Axis::signal(-0.1, 1.1, bins), Axis::stops(-8.0, 6.0, bins), Axis::difference("Cb", bins)] {
                let (below, above) = (axis.slot(low).unwrap(), axis.slot(low + more).unwrap());
                prop_assert!(below <= above && above < axis.slots());
            }
        }

        #[test]
        fn a_drawn_position_lies_in_the_slot(value in 0.0f64..1.2, bins in 2u32..2000) {
            for axis in [Axis::signal(-0.1, 1.1, bins), Axis::stops(-8.0, 6.0, bins), Axis::codes(10, CodeRange::Legal, bins)] {
                let slot = f64::from(axis.slot(value as f32).unwrap());
                // Single float may carry a value on an edge to the next bin.
                let inside = axis.position(value).clamp(-1.0, f64::from(axis.bins()) + 1.0);
                prop_assert!((slot - 1.0 - inside.floor()).abs() <= 1.0);
            }
        }
    }

    #[test]
    fn every_bin_is_reached_and_the_ends_lie_outside() {
        let axis = Axis::codes(10, CodeRange::Full, 256);
        let slots: Vec<u32> = (-1..=1024).map(|code| axis.slot_of_code(code).unwrap()).collect();
        assert_eq!((slots[0], slots[1], slots[4], slots[5], slots[1024], slots[1025]), (0, 1, 1, 2, 256, 257));
        assert_eq!(axis.slot(f32::NAN), None);
        assert_eq!((axis.slot(f32::INFINITY), axis.slot(f32::NEG_INFINITY)), (Some(257), Some(0)));
        let stops = Axis::stops(-8.0, 6.0, 141);
        // Mid grey is the middle of a bin: ten bins a stop, 80 bins from the first middle.
        assert_eq!((stops.slot(0.18), stops.slot(0.36)), (Some(81), Some(91)));
        assert_eq!((stops.slot(0.0), stops.slot(-1.0), stops.slot(f32::NAN)), (Some(0), Some(0), None));
        assert_eq!(stops.slot(f32::INFINITY), Some(142));
    }

    #[test]
    fn no_colour_is_the_middle_of_a_bin() {
        for bins in [100, 255, 256, 511] {
            let (float, codes) =
                (Axis::difference("Cb", bins), Axis::difference_codes("Cb", 10, CodeRange::Legal, bins));
            assert_eq!(
                (float.slot(0.0), codes.slot_of_code(512)),
                (Some((bins | 1) / 2 + 1), Some((bins | 1) / 2 + 1))
            );
            assert_eq!(codes.slot(0.0), codes.slot_of_code(512));
        }
    }
}
