//! The lights of the demo, as spectra.

use crate::daylight::{S0, S1, S2};
use crate::spectrum::{FIRST_NM, Spectrum, bell};

/// A light of the scene, or the light that the truth is re-lit by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Light {
    /// Blue hour on deck: daylight of a high correlated colour temperature with a little green, 10000 K, Duv +.004.
    BlueHour,
    /// Tungsten in the galley: a Planckian radiator of 3100 K.
    Tungsten,
    /// Old tubes in the wheelhouse: mercury lines over phosphors, 4200 K, Duv +.012, visibly green.
    Tubes,
    /// CIE illuminant D65, the light of the truth pictures.
    D65,
}

impl Light {
    /// One line on what the light is.
    pub fn description(self) -> &'static str {
        match self {
            Self::BlueHour => "blue-hour daylight, slightly green",
            Self::Tungsten => "tungsten, a Planckian radiator of 3100 K",
            Self::Tubes => "fluorescent tubes, mercury lines over phosphors, clearly green",
            Self::D65 => "CIE illuminant D65",
        }
    }

    /// The relative spectral power.
    pub fn spectrum(self) -> Spectrum {
        match self {
            Self::BlueHour => {
                Spectrum::of(|nm| daylight(BLUE_HOUR_KELVIN, nm) * (1.0 + BLUE_HOUR_GREEN * bell(nm, 540.0, 35.0)))
            }
            Self::Tungsten => Spectrum::of(|nm| planck(3100.0, nm)),
            Self::Tubes => Spectrum::of(tubes),
            // CIE 015:2018: D65 is the daylight of nominal 6500 K with the c2 of 1968, hence 6504 K today.
            Self::D65 => Spectrum::of(|nm| daylight(6500.0 * 1.4388 / 1.4380, nm)),
        }
    }
}

/// Nominal temperature of the daylight that, with its green, comes to 10000 K and Duv +.004. Our own choice.
const BLUE_HOUR_KELVIN: f64 = 10_107.4;
/// Height of the green bell on the blue hour. Our own choice.
const BLUE_HOUR_GREEN: f64 = 0.020_453_6;

/// The second radiation constant in nm kelvin. Source: CIE 015:2018 (ITS-90), 1.4388e-2 m K.
const C2_NM_KELVIN: f64 = 1.4388e7;

/// Planck's law, scaled to 1 at 560 nm.
fn planck(kelvin: f64, nm: f64) -> f64 {
    let power = |nm: f64| nm.powi(-5) / (C2_NM_KELVIN / (nm * kelvin)).exp_m1();
    power(nm) / power(560.0)
}

/// A phase of daylight by the CIE formulas, 4000 K to 25000 K.
///
/// # Source
/// CIE 015:2018, 4.1.2: chromaticity of daylight and the factors M1 and M2.
fn daylight(kelvin: f64, nm: f64) -> f64 {
    let x = if kelvin <= 7000.0 {
        -4.6070e9 / kelvin.powi(3) + 2.9678e6 / kelvin.powi(2) + 0.09911e3 / kelvin + 0.244_063
    } else {
        -2.0064e9 / kelvin.powi(3) + 1.9018e6 / kelvin.powi(2) + 0.24748e3 / kelvin + 0.237_040
    };
    let y = -3.0 * x * x + 2.870 * x - 0.275;
    let m = 0.0241 + 0.2562 * x - 0.7341 * y;
    let m1 = (-1.3515 - 1.7703 * x + 5.9114 * y) / m;
    let m2 = (0.0300 - 31.4424 * x + 30.0717 * y) / m;
    component(&S0, nm) + m1 * component(&S1, nm) + m2 * component(&S2, nm)
}

/// A daylight component between its table entries.
fn component(table: &[f64; 48], nm: f64) -> f64 {
    let place = ((nm - FIRST_NM as f64) / 10.0).clamp(0.0, 47.0);
    let below = (place.floor() as usize).min(46);
    let share = place - below as f64;
    table[below] * (1.0 - share) + table[below + 1] * share
}

/// Lines and bands of the tubes: height, centre in nm, sigma in nm.
///
/// Mercury emits at 404.7, 435.8, 546.1, 577.0 and 579.1 nm (handbook values, e.g. NIST's line tables; from memory);
/// heights and phosphor bands are our own.
const TUBES: [(f64, f64, f64); 15] = [
    (1.6, 404.7, 1.5),
    (3.6, 435.8, 1.5),
    (3.4 * GREEN, 546.1, 1.5),
    (0.9, 577.0, 1.5),
    (0.9, 579.1, 1.5),
    (2.0 * GREEN, 542.5, 4.0),
    (0.7, 487.0, 6.0),
    (0.5, 584.0, 6.0),
    (0.35, 593.0, 4.0),
    (3.0 * RED, 611.0, 3.0),
    (0.5 * RED, 630.0, 5.0),
    (0.25 * RED, 650.0, 5.0),
    (0.35 * RED, 707.0, 5.0),
    (0.16, 450.0, 30.0),
    (0.42, 575.0, 48.0),
];
/// Share of the green lines that brings the tubes to 4200 K and Duv +.012.
const GREEN: f64 = 0.819_351;
/// Share of the red bands that brings the tubes to 4200 K and Duv +.012.
const RED: f64 = 0.643_698;

fn tubes(nm: f64) -> f64 {
    TUBES.iter().map(|&(height, centre, sigma)| height * bell(nm, centre, sigma)).sum()
}
