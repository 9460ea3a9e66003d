//! Below what difference two figures read 'same': nobody sees it, or the codes cannot tell.

/// Delta E 2000 (or ITP) below which two colours are one.
///
/// # Source
/// Common practice, no source: a difference of 1 is about the least that a trained eye sees side by side.
pub const DELTA_E: f64 = 0.5;

/// 10-bit codes below which two levels are one: what rounding on two ways through codes may come to.
pub const CODES: f64 = 2.0;

/// Shares of a picture that are one where they are written: a twentieth of a percent.
pub const SHARE: f64 = 0.0005;

/// Whether a colour difference cannot be told from none.
pub fn delta_e(difference: f64) -> bool {
    difference.abs() < DELTA_E
}

/// Whether codes cannot be told from each other, channel by channel.
pub fn codes<const N: usize>(a: [f64; N], b: [f64; N]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() < CODES)
}

/// Whether shares of a picture cannot be told from each other.
pub fn shares(a: f64, b: f64) -> bool {
    (a - b).abs() < SHARE
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_below_the_limit_is_the_same_and_what_is_no_number_is_not() {
        assert!(delta_e(0.49) && delta_e(-0.49) && !delta_e(0.5) && !delta_e(f64::NAN));
        assert!(codes([1.0, 2.0, 3.0], [2.9, 0.1, 3.0]) && !codes([0.0], [-2.0]) && !codes([f64::NAN], [0.0]));
        assert!(shares(0.1, 0.1004) && !shares(0.1, 0.1006));
    }
}
