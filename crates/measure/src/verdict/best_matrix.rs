//! How near to the truth one 3x3 matrix of scene light can come: what no method that only mixes channels will better.
//!
//! A change of light is no matrix of what a camera saw, since surfaces of one colour may part under another light. The rest
//! that the best matrix leaves is the light's own doing, and a method is judged beside it and not beside nothing.
//!
//! Found by least squares in linear light, then of the shown differences, then for the least mean of these, which is the
//! figure that is told.

use crate::least_squares::{Unknown, least_squares};
use crate::readings::Tristimulus;
use crate::verdict::{Differences, difference};

/// Factors beyond this are no correction of a light.
const MOST: f64 = 50.0;
/// Rounds of weighing: after these the mean changes by less than is printed.
const ROUNDS: usize = 12;
/// A difference that weighs no more than a smaller one would.
const LITTLE: f64 = 0.02;

/// What the best matrix leaves, over surfaces as (scene light as shot, scene light of the truth); `shown` is the colour that a
/// display makes of scene light. None for fewer than four surfaces, whose matrix would say nothing.
pub fn best_matrix(surfaces: &[([f64; 3], [f64; 3])], shown: impl Fn([f64; 3]) -> Tristimulus) -> Option<Differences> {
    if surfaces.len() < 4 {
        return None;
    }
    let wanted: Vec<Tristimulus> = surfaces.iter().map(|(_, truth)| shown(*truth)).collect();
    let left = |matrix: &[f64; 9]| -> Vec<f64> {
        let found = surfaces.iter().zip(&wanted);
        found.map(|((lit, _), wanted)| difference(&shown(times(matrix, *lit)), wanted)).collect()
    };
    // Dark surfaces count as much as bright ones, as they nearly do to the eye.
    let linear = |matrix: &[f64; 9]| -> Vec<f64> {
        let off = |(lit, truth): &([f64; 3], [f64; 3])| {
            let size = truth.iter().map(|v| v.abs()).sum::<f64>().max(1e-4);
            let found = times(matrix, *lit);
            [0, 1, 2].map(|i| (found[i] - truth[i]) / size)
        };
        surfaces.iter().flat_map(off).collect()
    };
    let free = |start: f64| Unknown { start, low: -MOST, high: MOST };
    let start = least_squares([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0].map(free), linear);
    let mut found = least_squares(start.map(free), left);
    let mut best = Differences::of(left(&found))?;
    for _ in 0..ROUNDS {
        // The least sum is that of squares which are divided by the differences themselves.
        let weights: Vec<f64> = left(&found).into_iter().map(|of| of.max(LITTLE).sqrt().recip()).collect();
        let weighted = |matrix: &[f64; 9]| left(matrix).iter().zip(&weights).map(|(of, weight)| of * weight).collect();
        found = least_squares(found.map(free), weighted);
        best = Differences::of(left(&found)).filter(|of| of.mean < best.mean).unwrap_or(best);
    }
    Some(best)
}

fn times(matrix: &[f64; 9], rgb: [f64; 3]) -> [f64; 3] {
    let [a, b, c, d, e, f, g, h, i] = matrix;
    let [red, green, blue] = rgb;
    [a * red + b * green + c * blue, d * red + e * green + f * blue, g * red + h * green + i * blue]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::verdict::testing;

    fn shown(light: [f64; 3]) -> Tristimulus {
        let tap = crate::Tap::new(ops::Signal::scene());
        Tristimulus { xyz: tap.xyz(light), white_nits: testing::shown().white_nits() }
    }

    const SURFACES: [[f64; 3]; 6] =
        [[0.18, 0.18, 0.18], [0.4, 0.2, 0.1], [0.05, 0.3, 0.1], [0.1, 0.1, 0.5], [0.6, 0.5, 0.1], [0.02, 0.03, 0.05]];

    #[test]
    fn a_light_that_is_a_matrix_leaves_nothing() {
        let light = [1.3, 0.2, -0.1, 0.05, 0.9, 0.1, 0.02, -0.1, 0.5];
        let pairs = SURFACES.map(|truth| (times(&light, truth), truth));
        let left = best_matrix(&pairs, shown).unwrap();
        assert!(left.max < 1e-3, "{left:?}");
        assert_eq!(left.count, 6);
    }

    #[test]
    fn what_no_matrix_can_do_stays_and_no_gain_betters_it() {
        // Each channel is bent a little, so that no matrix fits all six.
        let pairs = SURFACES.map(|truth| {
            let lit: [f64; 3] = std::array::from_fn(|i| [1.4, 1.0, 0.5][i] * truth[i].powf([1.06, 1.0, 0.93][i]));
            (lit, truth)
        });
        let left = best_matrix(&pairs, shown).unwrap();
        let gains = |(lit, truth): &([f64; 3], [f64; 3])| {
            difference(&shown([lit[0] / 1.4, lit[1], lit[2] / 0.5]), &shown(*truth))
        };
        let by_gains = Differences::of(pairs.iter().map(gains)).unwrap();
        assert!(left.mean > 0.2, "{left:?}");
        assert!(left.mean <= by_gains.mean, "{left:?} {by_gains:?}");
        assert!(best_matrix(&pairs[..3], shown).is_none());
    }
}
