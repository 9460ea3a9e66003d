//! The pixels of an area that count, and their statistics.

/// Farther from the median than this many median deviations, a level is an outlier: 3.5 standard deviations of a normal
/// distribution, whose median deviation is 0.6745 of one.
///
/// # Source
/// B. Iglewicz and D. Hoaglin, How to Detect and Handle Outliers, 1993 (from memory).
pub const OUTLIER: f64 = 3.5 / 0.6745;

/// Pixels of an area without its outliers.
#[derive(Debug, Clone, PartialEq)]
pub struct Kept {
    /// Those that count.
    pub pixels: Vec<[f64; 3]>,
    /// Outliers.
    pub left_out: usize,
    /// Pixels that are not finite in some channel.
    pub not_finite: usize,
}

/// Mean, median and standard deviation of each channel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Statistics {
    /// The mean.
    pub mean: [f64; 3],
    /// The median; between the middle two of an even number.
    pub median: [f64; 3],
    /// The standard deviation, over one less than the number; 0 for a single pixel.
    pub sd: [f64; 3],
}

/// Leaves out a pixel if any of its channels is farther from that channel's median than [`OUTLIER`] median deviations, and
/// farther than `step`: what one code is worth, so that an even area does not lose its pixels to rounding. 0 for floats.
pub fn kept(pixels: impl IntoIterator<Item = [f64; 3]>, step: f64) -> Kept {
    let all: Vec<[f64; 3]> = pixels.into_iter().collect();
    let keeps = keeps(&all, step);
    let not_finite = all.iter().filter(|pixel| !is_finite(pixel)).count();
    let kept: Vec<_> = all.iter().copied().filter(|pixel| keeps(pixel)).collect();
    Kept { left_out: all.len() - not_finite - kept.len(), pixels: kept, not_finite }
}

/// The rule of [`kept`], for who must know where the pixels that count lie.
pub fn keeps(pixels: &[[f64; 3]], step: f64) -> impl Fn(&[f64; 3]) -> bool + use<> {
    let finite = || pixels.iter().filter(|pixel| is_finite(pixel));
    let limits: [(f64, f64); 3] = std::array::from_fn(|channel| {
        let middle = median(finite().map(|pixel| pixel[channel]));
        let deviation = median(finite().map(|pixel| (pixel[channel] - middle).abs()));
        // A little more than a step: a code away, as floats tell it.
        (middle, (OUTLIER * deviation).max(1.001 * step))
    });
    move |pixel| pixel.iter().zip(limits).all(|(v, (middle, reach))| (v - middle).abs() <= reach)
}

fn is_finite(pixel: &[f64; 3]) -> bool {
    pixel.iter().all(|v| v.is_finite())
}

impl Statistics {
    /// Of these pixels; none of none.
    pub fn of(pixels: &[[f64; 3]]) -> Option<Statistics> {
        let count = pixels.len() as f64;
        if pixels.is_empty() {
            return None;
        }
        let channel = |at: usize| pixels.iter().map(move |pixel| pixel[at]);
        let mean: [f64; 3] = std::array::from_fn(|at| channel(at).sum::<f64>() / count);
        let sd = std::array::from_fn(|at| {
            let squares: f64 = channel(at).map(|v| (v - mean[at]) * (v - mean[at])).sum();
            (squares / (count - 1.0).max(1.0)).sqrt()
        });
        Some(Statistics { mean, median: std::array::from_fn(|at| median(channel(at))), sd })
    }

    /// The same of `value * scale + offset`, for a positive scale.
    pub(super) fn scaled(&self, scale: f64, offset: f64) -> Statistics {
        let shift = |values: [f64; 3]| values.map(|v| v * scale + offset);
        Statistics { mean: shift(self.mean), median: shift(self.median), sd: self.sd.map(|v| v * scale) }
    }
}

/// The median; NaN of nothing.
fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut values: Vec<f64> = values.collect();
    let middle = values.len() / 2;
    if values.is_empty() {
        return f64::NAN;
    }
    let even = values.len().is_multiple_of(2);
    let (below, upper, _) = values.select_nth_unstable_by(middle, f64::total_cmp);
    let upper = *upper;
    if !even {
        return upper;
    }
    let lower = below.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    0.5 * (lower + upper)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn statistics_are_those_of_the_textbook(values in prop::collection::vec(-2.0f64..2.0, 1..40)) {
            let pixels: Vec<[f64; 3]> = values.iter().map(|v| [*v, 2.0 * v, -v]).collect();
            let got = Statistics::of(&pixels).unwrap();
            let mut sorted = values.clone();
            sorted.sort_by(f64::total_cmp);
            let (low, high) = (sorted[(sorted.len() - 1) / 2], sorted[sorted.len() / 2]);
            prop_assert!((got.median[0] - 0.5 * (low + high)).abs() < 1e-15);
            let mean = values.iter().sum::<f64>() / values.len() as f64;
            let pairs: f64 = values.iter().flat_map(|a| values.iter().map(move |b| (a - b) * (a - b))).sum();
            // The variance by the mean square of all differences: another road to it.
            let n = values.len() as f64;
            let variance = if values.len() > 1 { pairs / (2.0 * n * (n - 1.0)) } else { 0.0 };
            prop_assert!((got.mean[2] + mean).abs() < 1e-12);
            prop_assert!((got.sd[1].powi(2) - 4.0 * variance).abs() < 1e-12);
        }

        #[test]
        fn a_far_pixel_is_left_out_and_the_others_stay(noise in prop::collection::vec(-0.01f64..0.01, 20..60), spike in 0.3f64..5.0) {
            let mut pixels: Vec<[f64; 3]> = noise.iter().map(|v| [0.4 + v, 0.4 - v, 0.4]).collect();
            // A fifth of the even spread and more always stays within 5 median deviations.
            pixels.push([0.4, 0.4 + spike, 0.4]);
            let kept = kept(pixels.iter().copied(), 1.0 / 1023.0);
            prop_assert!(kept.left_out >= 1);
            prop_assert!(kept.pixels.iter().all(|pixel| pixel[1] < 0.5));
            prop_assert_eq!(kept.pixels.len() + kept.left_out, pixels.len());
        }
    }

    #[test]
    fn rounding_to_codes_leaves_nothing_out() {
        let code = |code: u32| f64::from(code) / 255.0;
        // An even area, a tenth of it a code up.
        let pixels: Vec<[f64; 3]> = (0..100).map(|i| [code(100 + u32::from(i % 10 == 0)); 3]).collect();
        assert_eq!(kept(pixels.iter().copied(), code(1)).left_out, 0);
        assert_eq!(kept(pixels.iter().copied(), 0.0).left_out, 10);
    }

    #[test]
    fn what_is_not_finite_is_counted_apart() {
        let kept = kept([[0.1; 3], [f64::NAN, 0.1, 0.1], [0.1, f64::INFINITY, 0.1]], 0.0);
        assert_eq!((kept.pixels.len(), kept.left_out, kept.not_finite), (1, 0, 2));
        assert_eq!(Statistics::of(&[]), None);
        assert_eq!(Statistics::of(&kept.pixels).map(|s| s.sd), Some([0.0; 3]));
    }
}
