//! The loci of white light: Planckian radiators, CIE daylight, and the mired scale.

use crate::Xy;
use std::ops::RangeInclusive;
use std::sync::LazyLock;
use thiserror::Error;

/// The second radiation constant in m K, as colorimetry uses it.
///
/// # Source
/// ITS-90 and CIE 15:2018. The SI's exact value since 2019 is 1.438776877e-2; a temperature scales with it.
pub const C2: f64 = 1.4388e-2;

/// Temperatures that the Planckian functions take.
pub const PLANCKIAN_KELVIN: RangeInclusive<f64> = 1000.0..=100_000.0;
/// Temperatures for which CIE defines daylight.
pub const DAYLIGHT_KELVIN: RangeInclusive<f64> = 4000.0..=25_000.0;

/// Wavelengths at which the observer's chromaticity still moves.
const SPECTRUM_NANOMETRES: RangeInclusive<f64> = 380.0..=700.0;

/// A temperature outside of what its locus is defined for, or a light too far from the locus.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum LocusError {
    /// A Planckian temperature out of range.
    #[error("{0} K is no usable colour temperature; give 1000 to 100000 K")]
    Planckian(f64),
    /// A daylight temperature out of range.
    #[error("{0} K is outside the CIE daylight locus; give 4000 to 25000 K")]
    Daylight(f64),
    /// A distance from the locus at which colour temperature means nothing.
    #[error("Duv {0} is too far from the Planckian locus for a colour temperature; the limit is 0.05 on either side")]
    TooFar(f64),
    /// Not the chromaticity of a light.
    #[error("x = {x}, y = {y} is not the chromaticity of a light; x and y lie between 0 and 1 and sum to 1 at most")]
    NoLight {
        /// x as given.
        x: f64,
        /// y as given.
        y: f64,
    },
}

/// One wavelength of the observer, with what of Planck's law does not depend on the temperature.
struct Sample {
    nanometres: f64,
    /// c2 / wavelength, in kelvin.
    kelvin: f64,
    /// Colour matching functions times wavelength^-5; 560 nm counts as 1, since a common factor falls out of a
    /// chromaticity.
    weights: [f64; 3],
}

/// The observer. Its table lies in `data/` with its source.
static OBSERVER: LazyLock<Vec<Sample>> = LazyLock::new(|| {
    include_str!("../data/cie_1931_2deg_1nm.tsv")
        .lines()
        .filter_map(|line| {
            let mut cells = line.split('\t').map(str::parse::<f64>);
            let mut next = || cells.next()?.ok();
            let (nanometres, cmf) = (next()?, [next()?, next()?, next()?]);
            let falloff = (560.0 / nanometres).powi(5);
            Some(Sample { nanometres, kelvin: C2 / (nanometres * 1e-9), weights: cmf.map(|v| v * falloff) })
        })
        .collect()
});

/// A point of the Planckian locus in CIE 1960 (u, v).
#[derive(Debug, Clone, Copy)]
pub(crate) struct LocusPoint {
    pub uv: [f64; 2],
    /// d(u, v) / dT per kelvin: the tangent, towards higher temperature.
    pub tangent: [f64; 2],
}

impl LocusPoint {
    /// The point at a temperature in kelvin, from Planck's law summed over the observer at 1 nm.
    pub fn at(kelvin: f64) -> LocusPoint {
        let (mut xyz, mut rate) = ([0.0; 3], [0.0; 3]);
        for sample in OBSERVER.iter() {
            let exponent = sample.kelvin / kelvin;
            // The exponent is never below 0.17, so nothing is lost in the difference.
            let exitance = 1.0 / (exponent.exp() - 1.0);
            // d exitance / d ln T.
            let change = exponent * exitance * (1.0 + exitance);
            for i in 0..3 {
                xyz[i] += exitance * sample.weights[i];
                rate[i] += change * sample.weights[i];
            }
        }
        let rate = rate.map(|v| v / kelvin);
        let sum = |v: [f64; 3]| v[0] + 15.0 * v[1] + 3.0 * v[2];
        let (d, dd) = (sum(xyz), sum(rate));
        let quotient = |n: f64, dn: f64| (n / d, (dn * d - n * dd) / (d * d));
        let (u, du) = quotient(4.0 * xyz[0], 4.0 * rate[0]);
        let (v, dv) = quotient(6.0 * xyz[1], 6.0 * rate[1]);
        LocusPoint { uv: [u, v], tangent: [du, dv] }
    }

    /// The unit normal on the side of positive Duv (greener).
    pub fn normal(&self) -> [f64; 2] {
        let [du, dv] = self.tangent;
        let length = du.hypot(dv);
        // Along the whole range the locus runs towards smaller u, so this normal points to larger v.
        [dv / length, -du / length]
    }

    /// The point at a distance Duv along the normal.
    pub fn offset(&self, duv: f64) -> [f64; 2] {
        let n = self.normal();
        [self.uv[0] + duv * n[0], self.uv[1] + duv * n[1]]
    }
}

fn planckian_point(kelvin: f64) -> Result<LocusPoint, LocusError> {
    if PLANCKIAN_KELVIN.contains(&kelvin) { Ok(LocusPoint::at(kelvin)) } else { Err(LocusError::Planckian(kelvin)) }
}

/// The chromaticity of a Planckian radiator.
///
/// # Errors
/// Outside 1000 to 100000 K.
///
/// # Source
/// CIE 15:2018: Planck's law with c2 = 1.4388e-2 m K over the CIE 1931 observer, 360 to 830 nm at 1 nm.
pub fn planckian(kelvin: f64) -> Result<Xy, LocusError> {
    planckian_point(kelvin).map(|p| Xy::from_uv1960(p.uv))
}

/// The light of a correlated colour temperature at a signed distance Duv from the locus; plus is greener.
///
/// # Errors
/// Outside 1000 to 100000 K, beyond 0.05 from the locus, or where no light lies (x + y above 1).
///
/// # Source
/// ANSI C78.377: Duv along the normal in CIE 1960 (u, v).
pub fn xy_from_cct_duv(kelvin: f64, duv: f64) -> Result<Xy, LocusError> {
    let point = planckian_point(kelvin)?;
    if duv.is_nan() || duv.abs() > crate::cct::LARGEST_DUV {
        return Err(LocusError::TooFar(duv));
    }
    let xy = Xy::from_uv1960(point.offset(duv));
    // Below 2000 K a greener light soon lies beyond the spectrum locus: no light, and no finite cone gains.
    if xy.is_light() { Ok(xy) } else { Err(LocusError::NoLight { x: xy.x, y: xy.y }) }
}

/// The chromaticity of CIE daylight of a correlated colour temperature. The named illuminants D50 to D75 are
/// tabulated and part from this in the fifth digit; their nominal temperatures are times 1.4388 / 1.4380.
///
/// # Errors
/// Outside 4000 to 25000 K.
///
/// # Source
/// CIE 15:2018, 4.1.2.
pub fn daylight(kelvin: f64) -> Result<Xy, LocusError> {
    if !DAYLIGHT_KELVIN.contains(&kelvin) {
        return Err(LocusError::Daylight(kelvin));
    }
    let t = 1000.0 / kelvin;
    let x = if kelvin <= 7000.0 {
        ((-4.6070 * t + 2.9678) * t + 0.09911) * t + 0.244063
    } else {
        ((-2.0064 * t + 1.9018) * t + 0.24748) * t + 0.237040
    };
    Ok(Xy::new(x, (-3.0 * x + 2.870) * x - 0.275))
}

/// The spectrum locus: the chromaticities of light of one wavelength, as (nanometres, chromaticity) from 380 to 700 nm at
/// 1 nm. Beyond those the points hardly move. A line from the last to the first, the purples, closes it.
///
/// # Source
/// CIE 018:2019, the CIE 1931 observer.
pub fn spectrum() -> impl Iterator<Item = (f64, Xy)> {
    OBSERVER.iter().filter(|sample| SPECTRUM_NANOMETRES.contains(&sample.nanometres)).map(|sample| {
        // The fall-off of Planck's law is a common factor of the three weights.
        (sample.nanometres, Xy::from_xyz(sample.weights))
    })
}

/// Reciprocal megakelvin: equal steps look about equally large.
pub fn mired_from_kelvin(kelvin: f64) -> f64 {
    1e6 / kelvin
}

/// The temperature of a reciprocal megakelvin.
pub fn kelvin_from_mired(mired: f64) -> f64 {
    1e6 / mired
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_observer_is_whole() {
        assert_eq!(OBSERVER.len(), 471);
        // 560 nm, from the table of CIE 018:2019.
        assert_eq!(OBSERVER[200].weights, [0.5945, 0.995, 0.0039]);
    }

    #[test]
    fn the_normal_points_to_green_everywhere() {
        let mut kelvin = 1000.0;
        while kelvin <= 100_000.0 {
            let point = LocusPoint::at(kelvin);
            assert!(point.tangent[0] < 0.0 && point.normal()[1] > 0.0, "{kelvin}");
            kelvin *= 1.01;
        }
    }

    #[test]
    fn the_tangent_is_the_derivative() {
        for kelvin in [1000.0, 3200.0, 6500.0, 25_000.0] {
            let h = kelvin * 1e-4;
            let (before, after) = (LocusPoint::at(kelvin - h), LocusPoint::at(kelvin + h));
            for i in 0..2 {
                let slope = (after.uv[i] - before.uv[i]) / (2.0 * h);
                let tangent = LocusPoint::at(kelvin).tangent[i];
                // A central difference of step 1e-4 is right to about 1e-7 of the slope's own scale.
                assert!((slope - tangent).abs() < 1e-6 * (0.1 / kelvin), "{kelvin} {slope} {tangent}");
            }
        }
    }

    #[test]
    fn ranges_are_checked() {
        assert!(planckian(999.0).is_err() && planckian(f64::NAN).is_err());
        assert!(xy_from_cct_duv(5000.0, 0.06).is_err() && xy_from_cct_duv(5000.0, f64::NAN).is_err());
        assert!(daylight(3999.0).is_err());
        assert_eq!(mired_from_kelvin(kelvin_from_mired(200.0)), 200.0);
    }
}
