//! The light of a card, pixel by pixel where it lies: its mean, its noise, its gradient.

use std::f64::consts::PI;

use colour::Matrix;

use crate::Tap;
use crate::readings::keeps;

/// How two channels vary together.
pub type Covariance = [[f64; 3]; 3];

/// Fewer pixels are no card.
const LEAST_PIXELS: usize = 16;
/// The farthest lag at which pixels are asked whether they share noise.
const LAGS: usize = 8;
/// Rows and columns of sub-patches.
const PARTS: usize = 3;
/// So many times what noise makes of sub-patches their variance must be, to be a gradient. Noise alone comes to that once in
/// some hundred cards.
const STANDS_OUT: f64 = 3.0;
/// Relative rounding of single floats, below which nothing varies.
const ROUNDING: f64 = 1e-6;
/// Terms of the series of rounding errors.
const TERMS: u32 = 40;

/// A card.
pub struct Patch {
    /// Mean light on the tap's primaries.
    pub mean: [f64; 3],
    /// Pixels that count.
    pub count: usize,
    width: usize,
    /// Light pixel by pixel; none where it does not count.
    light: Vec<Option<[f64; 3]>>,
    /// What a plane leaves of it.
    left: Vec<Option<[f64; 3]>>,
    /// Variance of the mean's rounding error in light.
    rounding: [f64; 3],
}

impl Patch {
    /// From signal. None for too few pixels.
    pub fn of(tap: &Tap, pixels: &[[f64; 3]], width: usize, code: f64) -> Option<Patch> {
        let keeps = keeps(pixels, code);
        let kept: Vec<[f64; 3]> = pixels.iter().copied().filter(|pixel| keeps(pixel)).collect();
        if kept.len() < LEAST_PIXELS || width == 0 {
            return None;
        }
        let light: Vec<_> = pixels.iter().map(|pixel| keeps(pixel).then(|| tap.light(*pixel))).collect();
        let count = kept.len() as f64;
        let mean_of = |all: &mut dyn Iterator<Item = [f64; 3]>| {
            all.fold([0.0; 3], |sum, v| [0, 1, 2].map(|i| sum[i] + v[i] / count))
        };
        let mean = mean_of(&mut light.iter().copied().flatten());
        let signal = mean_of(&mut kept.iter().copied());
        let rounding = [0, 1, 2].map(|i| {
            let squares: f64 = kept.iter().map(|pixel| (pixel[i] - signal[i]).powi(2)).sum();
            let nudged = |by: f64| tap.light(signal.map(|v| v + by))[i];
            let slope = (nudged(0.5 * code) - nudged(-0.5 * code)) / code.max(f64::MIN_POSITIVE);
            if code > 0.0 { (slope * code).powi(2) * of_rounding(squares / count / (code * code)) } else { 0.0 }
        });
        let left = flattened(&light, width, mean)?;
        Some(Patch { mean, count: kept.len(), width, light, left, rounding })
    }

    /// The covariance of noise, and what the pixels are worth as independent samples.
    pub fn noise(&self) -> (Covariance, f64) {
        let mut sums = [[0.0; 3]; 3];
        for left in self.left.iter().flatten() {
            for (row, a) in sums.iter_mut().zip(left) {
                row.iter_mut().zip(left).for_each(|(cell, b)| *cell += a * b);
            }
        }
        // The plane has taken three.
        let degrees = (self.count - 3) as f64;
        let height = self.left.len() / self.width;
        let shared = self.shared(1, self.width) * self.shared(self.width, height);
        (sums.map(|row| row.map(|v| v / degrees)), (self.count as f64 / shared).max(1.0))
    }

    /// How many neighbours along one way share their noise; 1 where each has its own. `stride` leads to the next one, `size`
    /// is how many there are.
    fn shared(&self, stride: usize, size: usize) -> f64 {
        let mut shared = 1.0;
        for lag in 1..=LAGS.min(size / 2) {
            let (mut together, mut alone, mut pairs) = ([0.0; 3], [0.0; 3], 0.0);
            for (at, left) in self.left.iter().enumerate() {
                let stays = stride > 1 || at % self.width + lag < self.width;
                let other = self.left.get(at + lag * stride).copied().flatten().filter(|_| stays);
                let Some((a, b)) = left.zip(other) else { continue };
                pairs += 1.0;
                for i in 0..3 {
                    together[i] += a[i] * b[i];
                    alone[i] += 0.5 * (a[i] * a[i] + b[i] * b[i]);
                }
            }
            let of_channel = (0..3).filter(|i| alone[*i] > 0.0).map(|i| together[i] / alone[i]);
            let correlation = of_channel.sum::<f64>() / 3.0;
            if correlation <= 2.0 / f64::max(pairs, 1.0).sqrt() {
                break;
            }
            shared += 2.0 * correlation * (1.0 - lag as f64 / size as f64);
        }
        shared
    }

    /// The covariance of the mean that comes of rounding; channels round by themselves.
    pub fn rounding(&self) -> Covariance {
        [0, 1, 2].map(|i| [0, 1, 2].map(|j| if i == j { self.rounding[i] } else { 0.0 }))
    }

    /// The covariance of sub-patches beyond noise and rounding; nothing where it does not stand out of these.
    pub fn gradient(&self, noise: &Covariance, samples: f64, rounding: &Covariance) -> Covariance {
        let height = self.light.len() / self.width;
        let part = |x: usize, y: usize| y * PARTS / height.max(1) * PARTS + x * PARTS / self.width;
        let (mut sums, mut counts) = (vec![[0.0; 3]; PARTS * PARTS], vec![0.0; PARTS * PARTS]);
        for (at, light) in self.light.iter().enumerate() {
            let at = part(at % self.width, at / self.width);
            if let (Some(light), Some(sum), Some(count)) = (light, sums.get_mut(at), counts.get_mut(at)) {
                (0..3).for_each(|i| sum[i] += light[i]);
                *count += 1.0;
            }
        }
        let means: Vec<[f64; 3]> = sums
            .iter()
            .zip(&counts)
            .filter(|(_, count)| **count > 0.0)
            .map(|(sum, count)| sum.map(|v| v / count))
            .collect();
        let number = means.len() as f64;
        if means.len() < 2 {
            return [[0.0; 3]; 3];
        }
        let middle = means.iter().fold([0.0; 3], |sum, v| [0, 1, 2].map(|i| sum[i] + v[i] / number));
        let expected = |i: usize, j: usize| {
            let floor = if i == j { (ROUNDING * self.mean[i]).powi(2) } else { 0.0 };
            noise[i][j] * number / samples + rounding[i][j] + floor
        };
        let found = |i: usize, j: usize| {
            means.iter().map(|v| (v[i] - middle[i]) * (v[j] - middle[j])).sum::<f64>() / (number - 1.0)
        };
        let ratio = (0..3).map(|i| found(i, i) / expected(i, i)).sum::<f64>() / 3.0;
        let beyond = |i: usize, j: usize| found(i, j) - expected(i, j);
        // A ratio that is no number is that of nothing over nothing.
        if ratio > STANDS_OUT { [0, 1, 2].map(|i| [0, 1, 2].map(|j| beyond(i, j))) } else { [[0.0; 3]; 3] }
    }
}

/// The variance of the mean of rounding errors, in codes, where the pixels of one level vary by `spread` (a variance, in codes,
/// after rounding).
fn of_rounding(spread: f64) -> f64 {
    // Rounding has added a twelfth.
    let before = (spread - 1.0 / 12.0).max(0.0);
    let term = |k: f64| (-4.0 * PI * PI * k * k * before).exp() / (2.0 * PI * PI * k * k);
    (1..=TERMS).map(|k| term(f64::from(k))).sum()
}

/// What a plane through the light leaves. None where the pixels span no plane.
fn flattened(light: &[Option<[f64; 3]>], width: usize, mean: [f64; 3]) -> Option<Vec<Option<[f64; 3]>>> {
    let height = light.len() / width;
    let place = |at: usize| {
        let centred = |v: usize, size: usize| (v as f64 + 0.5) / size.max(1) as f64 - 0.5;
        [1.0, centred(at % width, width), centred(at / width, height)]
    };
    let known = || light.iter().enumerate().filter_map(|(at, light)| Some((place(at), (*light)?)));
    let mut normal = [[0.0; 3]; 3];
    for (place, _) in known() {
        for (row, a) in normal.iter_mut().zip(place) {
            row.iter_mut().zip(place).for_each(|(cell, b)| *cell += a * b);
        }
    }
    let inverse = Matrix(normal).inverse()?;
    let planes = [0, 1, 2].map(|i| {
        let right =
            known().fold([0.0; 3], |sum, (place, light)| [0, 1, 2].map(|k| sum[k] + place[k] * (light[i] - mean[i])));
        inverse.apply(right)
    });
    let left = |(at, light): (usize, &Option<[f64; 3]>)| {
        let (light, place) = ((*light)?, place(at));
        Some([0, 1, 2].map(|i| light[i] - mean[i] - planes[i].iter().zip(place).map(|(a, b)| a * b).sum::<f64>()))
    };
    Some(light.iter().enumerate().map(left).collect())
}
