//! Spectra on one wavelength grid, and what the standard observer makes of them.
//!
//! # Source
//! CIE 015:2018, 7.1: tristimulus values as sums over the colour-matching functions of the CIE 1931 observer.

use std::sync::LazyLock;

/// First wavelength of every spectrum, nm: where the colour-matching functions begin.
pub const FIRST_NM: usize = 360;
/// Last wavelength of every spectrum, nm.
pub const LAST_NM: usize = 830;
/// Number of samples, one a nanometre, so that mercury lines keep their place.
pub const SAMPLES: usize = LAST_NM - FIRST_NM + 1;

/// A quantity for every nanometre from [`FIRST_NM`] to [`LAST_NM`]: the relative power of a light, or a reflectance.
#[derive(Debug, Clone, PartialEq)]
pub struct Spectrum(Vec<f64>);

impl Spectrum {
    /// The spectrum of a function of the wavelength in nm.
    pub fn of(value: impl Fn(f64) -> f64) -> Self {
        Self((FIRST_NM..=LAST_NM).map(|nm| value(nm as f64)).collect())
    }

    /// The samples, one a nanometre, [`SAMPLES`] of them.
    pub fn samples(&self) -> &[f64] {
        &self.0
    }

    /// Tristimulus values of the light itself, on no particular scale.
    pub fn xyz(&self) -> [f64; 3] {
        let mut sum = [0.0; 3];
        for (power, weights) in self.0.iter().zip(functions()) {
            for (total, weight) in sum.iter_mut().zip(weights) {
                *total += power * weight;
            }
        }
        sum
    }

    /// Sample by sample: the light that a surface sends back, or a filter lets through.
    pub fn times(&self, other: &Spectrum) -> Spectrum {
        Self(self.0.iter().zip(&other.0).map(|(one, other)| one * other).collect())
    }

    /// The sum of the products, sample by sample.
    pub fn dot(&self, other: &Spectrum) -> f64 {
        self.0.iter().zip(&other.0).map(|(one, other)| one * other).sum()
    }

    /// Tristimulus values of a surface of this reflectance under `light`; a perfect diffuser has Y = 1.
    pub fn xyz_under(&self, light: &Spectrum) -> [f64; 3] {
        let white = light.xyz()[1];
        self.times(light).xyz().map(|value| value / white)
    }
}

/// A bell over the wavelength, 1 at its centre.
pub fn bell(nm: f64, centre_nm: f64, sigma_nm: f64) -> f64 {
    (-0.5 * ((nm - centre_nm) / sigma_nm).powi(2)).exp()
}

/// A smooth step over the wavelength, 0 far below its centre and 1 far above.
pub fn step(nm: f64, centre_nm: f64, width_nm: f64) -> f64 {
    1.0 / (1.0 + ((centre_nm - nm) / width_nm).exp())
}

/// A colour-matching function of the observer as a spectrum: x, y or z by its number.
pub fn observer(function: usize) -> Spectrum {
    Spectrum(functions().iter().map(|weights| weights.get(function).copied().unwrap_or(0.0)).collect())
}

/// The colour-matching functions over the grid: `colour`'s own table, whose locus functions use it too.
fn functions() -> &'static [[f64; 3]] {
    static TABLE: LazyLock<Vec<[f64; 3]>> = LazyLock::new(|| {
        let text = include_str!("../../../colour/data/cie_1931_2deg_1nm.tsv");
        let number = |cell: Option<&str>| cell?.trim().parse::<f64>().ok();
        let row = |line: &str| {
            let mut cells = line.split('\t');
            number(cells.next())?;
            Some([number(cells.next())?, number(cells.next())?, number(cells.next())?])
        };
        text.lines().filter_map(row).collect()
    });
    &TABLE
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_observer_covers_the_grid() {
        assert_eq!(functions().len(), SAMPLES);
        // CIE 018:2019, table 6: y is 1 at 555 nm and .9950 at 560 nm.
        assert_eq!(functions()[555 - FIRST_NM][1], 1.0);
        assert!((functions()[560 - FIRST_NM][1] - 0.995).abs() < 1e-4);
    }

    #[test]
    fn a_perfect_diffuser_keeps_the_lights_colour() {
        let light = Spectrum::of(|nm| nm * nm);
        let xyz = light.xyz();
        let under = Spectrum::of(|_| 1.0).xyz_under(&light);
        for (found, value) in under.iter().zip(xyz) {
            // One division apart.
            assert!((found - value / xyz[1]).abs() < 1e-15);
        }
    }

    #[test]
    fn equal_energy_is_nearly_a_third_each() {
        // CIE 015:2018: illuminant E is x = y = 1/3; the published figures sum to within 1e-4 of that.
        let xyz = Spectrum::of(|_| 1.0).xyz();
        let sum: f64 = xyz.iter().sum();
        assert!(xyz.iter().all(|value| (value / sum - 1.0 / 3.0).abs() < 1e-4), "{xyz:?}");
    }
}
