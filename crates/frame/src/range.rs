//! Full and legal (video) range of stored values.

use crate::Samples;

/// What the stored values 0 and 2^bits - 1 stand for.
///
/// Floats count only where they carry code values scaled by 1/1023; scene-linear floats are
/// [`Range::Full`], which leaves them untouched. Alpha is always full range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Range {
    /// Signal 0 to 1 is code 0 to 2^bits - 1.
    #[default]
    Full,
    /// Signal 0 to 1 is code 16 x 2^(bits-8) to 235 x 2^(bits-8): 64 to 940 in 10 bits. Codes outside carry
    /// signal below 0 and above 1.
    ///
    /// # Source
    /// ITU-R BT.709-6, item 4.6 and ITU-R BT.2100-2, table 9 (narrow range of R, G, B).
    Legal,
}

impl Range {
    /// `(scale, offset)` such that `signal = stored x scale + offset`, where `stored` is the code over
    /// 2^bits - 1, or a float as it is.
    pub fn signal_from_stored(self, samples: Samples) -> (f64, f64) {
        match self {
            Range::Full => (1.0, 0.0),
            Range::Legal => {
                let (max, black, span) = legal_codes(samples);
                (max / span, -black / span)
            }
        }
    }

    /// `(scale, offset)` such that `stored = signal x scale + offset`: the inverse of
    /// [`Range::signal_from_stored`].
    pub fn stored_from_signal(self, samples: Samples) -> (f64, f64) {
        match self {
            Range::Full => (1.0, 0.0),
            Range::Legal => {
                let (max, black, span) = legal_codes(samples);
                (span / max, black / max)
            }
        }
    }

    /// `full` or `legal`.
    pub const fn name(self) -> &'static str {
        match self {
            Range::Full => "full",
            Range::Legal => "legal",
        }
    }
}

/// Largest code, legal black, and legal white less legal black. Floats count in 10 bits.
fn legal_codes(samples: Samples) -> (f64, f64, f64) {
    match samples {
        Samples::Ten | Samples::Half | Samples::Float => (1023.0, 64.0, 876.0),
        Samples::Codes(bits) => {
            let of_eight = f64::from(bits).exp2() / 256.0;
            (256.0 * of_eight - 1.0, 16.0 * of_eight, 219.0 * of_eight)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Source: ITU-R BT.709-6, item 5.1: 10-bit black level 64, nominal peak 940; BT.2100-2, table 9 for
    /// the formula, in 16 bits 4096 and 60160.
    #[test]
    fn legal_black_and_white() {
        let cases = [
            (Samples::Ten, 1023.0, 64.0, 940.0),
            (Samples::U16, 65535.0, 4096.0, 60160.0),
            (Samples::Codes(8), 255.0, 16.0, 235.0),
            (Samples::Codes(12), 4095.0, 256.0, 3760.0),
            (Samples::Float, 1023.0, 64.0, 940.0),
        ];
        for (samples, max, black, white) in cases {
            let (scale, offset) = Range::Legal.signal_from_stored(samples);
            // 1e-14: a few roundings of a double near 1.
            assert!((black / max * scale + offset).abs() < 1e-14);
            assert!((white / max * scale + offset - 1.0).abs() < 1e-14);
            let (scale, offset) = Range::Legal.stored_from_signal(samples);
            assert!(((scale + offset) * max - white).abs() < 1e-9);
            assert!((offset * max - black).abs() < 1e-9);
        }
        assert_eq!(Range::Full.signal_from_stored(Samples::Ten), (1.0, 0.0));
    }
}
