//! Where the numbers of an original end.

use colour::{CodeRange, range};

use super::Mark;

/// A pixel is clipped where a channel is at or beyond an end of what its file can hold, or of what its camera gives.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Clip {
    low: f64,
    high: f64,
}

impl Clip {
    /// Numbers that end nowhere: floats.
    pub fn none() -> Clip {
        Clip { low: f64::NEG_INFINITY, high: f64::INFINITY }
    }

    /// The first and the last code; those of video data where the range is legal.
    ///
    /// # Source
    /// SMPTE ST 274 and Rec. ITU-R BT.709-6, item 4.7 through [`range::video_data_codes`].
    pub fn of_codes(bits: u32, codes: CodeRange) -> Clip {
        let (first, last) = match codes {
            CodeRange::Full => (0, range::largest_code(bits)),
            CodeRange::Legal => range::video_data_codes(bits),
        };
        let signal = |code| range::signal_from_code(bits, codes, code);
        // A quarter of a code: what a code is read as in single float.
        let slack = 0.25 / range::scale_and_offset(bits, codes).0;
        Clip { low: signal(first) + slack, high: signal(last) - slack }
    }

    /// The same, but clipped from this signal up: cameras end before their files do.
    #[must_use]
    pub fn from(self, high: f64) -> Clip {
        Clip { high, ..self }
    }

    /// The signal from which down, and that from which up, a channel is at its end.
    pub fn ends(&self) -> [f64; 2] {
        [self.low, self.high]
    }

    /// The mark of a pixel that is clipped; above goes before below.
    pub fn of(&self, rgb: [f64; 3]) -> Option<Mark> {
        if rgb.iter().any(|v| *v >= self.high) {
            Some(Mark::ClippedInOriginal)
        } else if rgb.iter().any(|v| *v <= self.low) {
            Some(Mark::CrushedInOriginal)
        } else {
            None
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: Rec. ITU-R BT.709-6: video data are 4 to 1019 in 10 bits.
    #[test]
    fn ends_are_codes() {
        let signal = |codes, code| [0.5, 0.5, range::signal_from_code(10, codes, code)];
        for (range, codes) in [(CodeRange::Full, [0, 1, 1022, 1023]), (CodeRange::Legal, [4, 5, 1018, 1019])] {
            let marks = codes.map(|code| Clip::of_codes(10, range).of(signal(range, code)));
            assert_eq!(marks, [Some(Mark::CrushedInOriginal), None, None, Some(Mark::ClippedInOriginal)]);
        }
        let camera = Clip::of_codes(10, CodeRange::Full).from(0.9);
        assert_eq!(camera.of([0.9, 0.0, 0.0]), Some(Mark::ClippedInOriginal));
        assert_eq!(Clip::none().of([-1e9, 0.0, 1e9]), None);
    }
}
