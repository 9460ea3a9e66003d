//! Sensor noise: a little from reading, a little from the light itself; the same for the same frame and pixel.
//!
//! The variance of a channel that the sensor sees linear light L in is `factor^2 (READ^2 + LIGHT L)`, without memory from
//! pixel to pixel, channel to channel or frame to frame.

use crate::space::hash;

/// Standard deviation of reading the sensor, in linear light where mid grey is 0.18. Our own choice.
pub const READ: f64 = 0.000_45;
/// Variance of the light's own noise per linear light. Our own choice: mid grey has 39 dB.
pub const LIGHT: f64 = 2.2e-5;

/// The noise of one frame.
#[derive(Debug, Clone, Copy)]
pub struct Noise {
    seed: u64,
    factor: f64,
}

impl Noise {
    /// The noise of frame `frame` of shot `shot`, its deviation `factor` times the usual one.
    pub fn new(seed: u64, shot: u64, frame: u64, factor: f64) -> Self {
        Self { seed: hash(hash(seed, shot), frame), factor }
    }

    /// Linear light of a channel (0..3) of pixel `pixel`, as a sensor would read it.
    pub fn on(&self, linear: f64, pixel: usize, channel: usize) -> f64 {
        let deviation = self.factor * (READ * READ + LIGHT * linear.max(0.0)).sqrt();
        linear + deviation * bell(hash(self.seed, (pixel * 3 + channel) as u64))
    }
}

/// A number of mean 0 and variance 1 from a random word: the sum of its four quarters, which is bell-shaped enough.
fn bell(word: u64) -> f64 {
    let sum: u64 = (0..4).map(|quarter| (word >> (16 * quarter)) & 0xFFFF).sum();
    (sum as f64 / 65_535.0 - 2.0) * 3.0_f64.sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn has_the_stated_mean_and_deviation() {
        let noise = Noise::new(1, 0, 1, 1.5);
        let count = 200_000;
        let values: Vec<f64> = (0..count).map(|pixel| noise.on(0.18, pixel, 1) - 0.18).collect();
        let mean = values.iter().sum::<f64>() / f64::from(count as u32);
        let deviation = (values.iter().map(|v| (v - mean).powi(2)).sum::<f64>() / f64::from(count as u32)).sqrt();
        let stated = 1.5 * (READ * READ + LIGHT * 0.18).sqrt();
        // 200 000 samples: the mean is known to 0.22 % of a deviation, the deviation to 0.16 %; four times that.
        assert!(mean.abs() < 0.009 * stated, "mean {mean}");
        assert!((deviation / stated - 1.0).abs() < 0.0064, "deviation {deviation} against {stated}");
    }

    #[test]
    fn repeats_for_the_same_frame_and_differs_for_another() {
        let of = |seed, frame| Noise::new(seed, 0, frame, 1.0).on(0.2, 99, 2);
        assert_eq!(of(1, 5), of(1, 5));
        assert_ne!(of(1, 5), of(1, 6));
        assert_ne!(of(1, 5), of(2, 5));
    }
}
