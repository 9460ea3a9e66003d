//! From counts to drawn intensity.

/// Intensity of a single pixel: clearly apart from the ground.
///
/// # Source
/// A choice of this house: a quarter of the display signal is about 4 % of its light on gamma 2.4.
pub const STRAY: f64 = 0.25;

/// The intensity, as display signal 0 to 1, of a cell that holds `count` of at most `most` pixels
/// ([`super::Scope::most`]): 0 for none, [`STRAY`] for one, then with the logarithm up to 1 for all:
/// `STRAY + (1 - STRAY) ln(count) / ln(most)`.
///
/// So one pixel is seen, only a cell that holds all pixels is at full intensity, twice as many pixels are always the same step
/// brighter, and the same picture looks the same whatever else moves.
pub fn intensity(count: u32, most: u64) -> f64 {
    if count == 0 {
        return 0.0;
    }
    let share = f64::from(count).ln() / (most.max(2) as f64).ln();
    STRAY + (1.0 - STRAY) * share.min(1.0)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn one_pixel_is_seen_and_only_all_of_them_are_full() {
        assert_eq!((intensity(0, 2160), intensity(1, 2160), intensity(2160, 2160)), (0.0, STRAY, 1.0));
        assert!(intensity(2159, 2160) < 1.0);
        for most in [2, 2160, 3840 * 2160] {
            let mut last = 0.0;
            for count in [1, 2, 4, 1000, 3840 * 2160].into_iter().filter(|count| u64::from(*count) <= most) {
                let here = intensity(count, most);
                assert!(here > last, "{count} of {most}");
                last = here;
            }
        }
        // A region of one pixel.
        assert_eq!(intensity(1, 1), STRAY);
        assert_eq!(intensity(9, 3), 1.0);
    }
}
