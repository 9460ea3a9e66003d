//! Clipped and out-of-gamut share: how much of a picture a display cannot show as it was made.
//!
//! Before the clamp: a pixel is clipped where a channel is at or above 1, and out of gamut where a channel is below 0 by more
//! than half a 10-bit code, a colour beyond the display's primaries or a black below its own.

use super::TEN_BIT;

/// Half a 10-bit code.
const LEAST: f64 = 0.5 / TEN_BIT;

/// Shares of a picture's pixels, 0 to 1.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shares {
    /// At or above white in some channel.
    pub clipped: f64,
    /// Below black in some channel.
    pub out_of_gamut: f64,
}

impl Shares {
    /// Of the signal of a picture's pixels; none of none.
    pub fn of(pixels: impl IntoIterator<Item = [f64; 3]>) -> Option<Shares> {
        let (mut all, mut clipped, mut outside) = (0.0, 0.0, 0.0);
        for rgb in pixels {
            all += 1.0;
            clipped += f64::from(u8::from(rgb.iter().any(|v| *v >= 1.0)));
            outside += f64::from(u8::from(rgb.iter().any(|v| *v < -LEAST)));
        }
        (all > 0.0).then(|| Shares { clipped: clipped / all, out_of_gamut: outside / all })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_end_is_counted_by_itself() {
        let pixels = [[0.5, 0.5, 1.0], [1.2, -0.1, 0.5], [0.0, -0.0004, 0.9999], [0.2, 0.2, -0.001]];
        assert_eq!(Shares::of(pixels), Some(Shares { clipped: 0.5, out_of_gamut: 0.5 }));
        assert_eq!(Shares::of([]), None);
    }
}
