//! The lights of the demo, as spectra.
//!
//! Each is a known shape (Planck's law, a phase of daylight, a measured tube, or bells) and a smooth tint on it. The two
//! numbers of a light that are odd (its nominal temperature, the depth of its tint) were found outside by Newton's
//! method on this grid, so that the light comes to the round kelvin and Duv beside it: two unknowns, and the two
//! CIE 1960 coordinates of the target. [`Light::stated`] has the targets, which the tests hold against `colour`'s own
//! solver and against colour-science.

use super::daylight::daylight;
use super::fluorescent::fl11;
use super::spectrum::{Spectrum, bell};

/// A light of the scene, or the light that the truth is re-lit by.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Light {
    /// Blue hour on deck: daylight of a high correlated colour temperature with a little green.
    BlueHour,
    /// The same 12 mired warmer, towards which the blue hour drifts.
    BlueHourLater,
    /// The sky above at twilight, where ozone has taken the orange.
    Zenith,
    /// The paler sky near the horizon.
    Horizon,
    /// The last band of light over the sea, a little rosy.
    Afterglow,
    /// A high-pressure sodium lamp on deck.
    DeckLamp,
    /// Tungsten in the galley.
    Tungsten,
    /// Daylight through the galley's window.
    Window,
    /// An overcast morning through the open hatch.
    Overcast,
    /// Old tubes in the wheelhouse behind a diffuser gone green.
    Tubes,
    /// The phosphor of the radar, a cyan beyond AP1.
    Radar,
    /// A deep red lamp for the night, beyond AP1.
    RedLamp,
    /// CIE illuminant D65, the light of the truth pictures.
    D65,
}

/// Bells over the wavelength: height, centre in nm, sigma in nm.
type Bells = &'static [(f64, f64, f64)];

/// The shape that a light starts from.
enum Shape {
    /// A Planckian radiator of so many kelvin.
    Planck(f64),
    /// A phase of daylight of so many nominal kelvin.
    Daylight(f64),
    /// CIE illuminant FL11.
    Tube,
    /// Lines and bands.
    Bands(Bells),
}

/// How a light is made.
struct Recipe {
    name: &'static str,
    description: &'static str,
    shape: Shape,
    /// Natural logarithm of what air, glass or a shade does to it; nothing is lost where the sum is 0.
    tint: Bells,
    /// Kelvin and Duv that it was made for.
    stated: Option<(f64, f64)>,
}

impl Light {
    /// Every light.
    pub const ALL: [Self; 13] = [
        Self::BlueHour,
        Self::BlueHourLater,
        Self::Zenith,
        Self::Horizon,
        Self::Afterglow,
        Self::DeckLamp,
        Self::Tungsten,
        Self::Window,
        Self::Overcast,
        Self::Tubes,
        Self::Radar,
        Self::RedLamp,
        Self::D65,
    ];

    /// A short name, as it heads its column in the table of spectra.
    pub fn name(self) -> &'static str {
        self.recipe().name
    }

    /// One line on what the light is.
    pub fn description(self) -> &'static str {
        self.recipe().description
    }

    /// Kelvin and Duv that the light was made for; none for a lamp that is no white.
    pub fn stated(self) -> Option<(f64, f64)> {
        self.recipe().stated
    }

    /// The relative spectral power.
    pub fn spectrum(self) -> Spectrum {
        let Recipe { shape, tint, .. } = self.recipe();
        Spectrum::of(|nm| {
            let power = match shape {
                Shape::Planck(kelvin) => planck(kelvin, nm),
                Shape::Daylight(kelvin) => daylight(kelvin, nm),
                Shape::Tube => fl11(nm),
                Shape::Bands(bells) => sum(bells, nm),
            };
            if tint.is_empty() { power } else { power * sum(tint, nm).exp() }
        })
    }

    fn recipe(self) -> Recipe {
        match self {
            Self::BlueHour => Recipe {
                name: "blue hour",
                description: "blue-hour daylight, slightly green",
                shape: Shape::Daylight(10_107.274_886),
                tint: &[(0.020_257_842_8, 540.0, 35.0)],
                stated: Some((10_000.0, 0.004)),
            },
            Self::BlueHourLater => Recipe {
                name: "blue hour, later",
                description: "blue-hour daylight, slightly green, 12 mired warmer",
                shape: Shape::Daylight(8_994.855_733_6),
                tint: &[(0.019_557_615_2, 540.0, 35.0)],
                stated: Some((1e6 / 112.0, 0.004)),
            },
            Self::Zenith => Recipe {
                name: "zenith",
                description: "deep twilight sky, its orange taken by ozone",
                shape: Shape::Daylight(18_208.667_144),
                // Ozone's band about 600 nm (Chappuis), its depth our own.
                tint: &[(-0.127_796_550, 600.0, 45.0)],
                stated: Some((26_000.0, 0.005)),
            },
            Self::Horizon => Recipe {
                name: "horizon",
                description: "pale sky near the horizon",
                shape: Shape::Daylight(7_241.510_213_6),
                tint: &[(0.037_643_492_6, 540.0, 35.0)],
                stated: Some((7200.0, 0.005)),
            },
            Self::Afterglow => Recipe {
                name: "afterglow",
                description: "the last band of daylight, slightly rosy",
                shape: Shape::Planck(3_688.671_685_7),
                tint: &[(-0.072_811_949_7, 540.0, 35.0)],
                stated: Some((3600.0, -0.003)),
            },
            Self::DeckLamp => Recipe {
                name: "deck lamp",
                description: "a high-pressure sodium lamp",
                shape: Shape::Bands(SODIUM),
                tint: &[(SODIUM_BLUE, 450.0, 40.0), (SODIUM_GREEN, 560.0, 30.0)],
                stated: Some((2050.0, 0.001)),
            },
            Self::Tungsten => Recipe {
                name: "tungsten",
                description: "tungsten, a Planckian radiator of 3100 K",
                shape: Shape::Planck(3100.0),
                tint: &[],
                stated: Some((3100.0, 0.0)),
            },
            Self::Window => Recipe {
                name: "window",
                description: "daylight of 9000 K through a window",
                shape: Shape::Daylight(8_998.204_21),
                tint: &[],
                stated: Some((9000.0, 0.003_057_7)),
            },
            Self::Overcast => Recipe {
                name: "overcast",
                description: "overcast daylight of 6360 K",
                shape: Shape::Daylight(6_359.706),
                tint: &[],
                stated: Some((6360.0, 0.003_22)),
            },
            Self::Tubes => Recipe {
                name: "tubes",
                description: "fluorescent tubes of CIE FL11's shape behind a diffuser gone green, clearly green",
                shape: Shape::Tube,
                // The diffuser takes violet and red; it adds nothing.
                tint: &[(-0.324_202_902_7, 430.0, 45.0), (-0.252_770_464_8, 640.0, 45.0)],
                stated: Some((4200.0, 0.012)),
            },
            Self::Radar => Recipe {
                name: "radar",
                description: "a radar's cyan phosphor about 500 nm",
                shape: Shape::Bands(&[(1.0, 500.0, 12.0)]),
                tint: &[],
                stated: None,
            },
            Self::RedLamp => Recipe {
                name: "red lamp",
                description: "a deep red lamp about 660 nm",
                shape: Shape::Bands(&[(1.0, 660.0, 9.0)]),
                tint: &[],
                stated: None,
            },
            // CIE 015:2018: D65 is the daylight of nominal 6500 K with the c2 of 1968, hence 6504 K today.
            Self::D65 => Recipe {
                name: "D65",
                description: "CIE illuminant D65",
                shape: Shape::Daylight(6500.0 * 1.4388 / 1.4380),
                tint: &[],
                stated: None,
            },
        }
    }
}

/// High-pressure sodium: the D lines broadened and swallowed in their middle, the weaker lines, a faint continuum.
///
/// Places of the lines are sodium's (449.8, 466.9, 498.3, 515.3, 568.5, 589.3, 615.9 nm; handbook values, from memory);
/// heights and widths are our own.
const SODIUM: Bells = &[
    (0.10, 449.8, 2.0),
    (0.14, 467.0, 2.0),
    (0.22, 498.0, 2.5),
    (0.06, 515.0, 2.0),
    (0.44, 568.5, 4.0),
    (1.00, 582.0, 6.0),
    (1.05, 597.0, 9.0),
    (0.45, 616.0, 4.0),
    (0.10, 655.0, 8.0),
    (0.12, 670.0, 6.0),
    (0.06, 580.0, 70.0),
];
/// Logarithm of the gain on its blue.
const SODIUM_BLUE: f64 = 0.530_788_24;
/// Logarithm of the gain on its green.
const SODIUM_GREEN: f64 = 0.023_110_19;

fn sum(bells: Bells, nm: f64) -> f64 {
    bells.iter().map(|&(height, centre, sigma)| height * bell(nm, centre, sigma)).sum()
}

/// The second radiation constant in nm kelvin. Source: CIE 015:2018 (ITS-90), 1.4388e-2 m K.
const C2_NM_KELVIN: f64 = 1.4388e7;

/// Planck's law, scaled to 1 at 560 nm.
fn planck(kelvin: f64, nm: f64) -> f64 {
    let power = |nm: f64| nm.powi(-5) / (C2_NM_KELVIN / (nm * kelvin)).exp_m1();
    power(nm) / power(560.0)
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::{Xy, primaries};

    fn white(light: Light) -> Xy {
        Xy::from_xyz(light.spectrum().xyz())
    }

    #[test]
    fn every_white_has_the_temperature_it_was_made_for() {
        for light in Light::ALL {
            let Some((kelvin, duv)) = light.stated() else { continue };
            let (found_kelvin, found_duv) = colour::cct::cct_duv(white(light)).unwrap();
            assert!((found_kelvin - kelvin).abs() < 1e-4 * kelvin, "{light:?}: {found_kelvin} K");
            assert!((found_duv - duv).abs() < 2e-5, "{light:?}: Duv {found_duv}");
        }
    }

    #[test]
    fn the_drift_is_twelve_mired_and_the_overcast_within_twelve_of_d65() {
        let mired = |light| 1e6 / colour::cct::cct_duv(white(light)).unwrap().0;
        assert!((mired(Light::BlueHourLater) - mired(Light::BlueHour) - 12.0).abs() < 0.01);
        let cast = mired(Light::Overcast) - mired(Light::D65);
        assert!((3.0..12.0).contains(&cast), "{cast}");
    }

    #[test]
    fn powers_are_powers() {
        for light in Light::ALL {
            assert!(light.spectrum().samples().iter().all(|power| power.is_finite() && *power >= 0.0), "{light:?}");
        }
    }

    #[test]
    fn the_diffuser_only_takes() {
        // A transmission: above 0 and at most 1, and so smooth that the tube's lines keep their shape.
        let shade = |nm: f64| sum(Light::Tubes.recipe().tint, nm).exp();
        for nm in 360..830 {
            let (here, next) = (shade(f64::from(nm)), shade(f64::from(nm + 1)));
            assert!(here > 0.5 && here <= 1.0 && (here - next).abs() < 0.006, "{nm} nm: {here}");
        }
    }

    #[test]
    fn radar_and_red_lamp_lie_outside_ap1_and_the_whites_within() {
        for light in Light::ALL {
            let rgb = primaries::AP1.rgb_from_xyz().apply(white(light).to_xyz());
            let (least, most) = rgb.iter().fold((f64::MAX, f64::MIN), |(a, b), value| (a.min(*value), b.max(*value)));
            let outside = matches!(light, Light::Radar | Light::RedLamp);
            // A hundredth of the largest channel below zero is out beyond any rounding.
            assert_eq!(least < -0.01 * most, outside, "{light:?}: {rgb:?}");
            assert!(outside || least > 0.0, "{light:?}: {rgb:?}");
        }
    }
}
