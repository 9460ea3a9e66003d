//! The two cameras: one sees as the CIE 1931 observer does, the other by three curves of its own.

use std::sync::LazyLock;

use colour::{Matrix, Primaries};

use super::light::Light;
use super::material::{MATERIALS, PATCHES};
use super::spectrum::{Spectrum, bell, observer, step};

/// A camera of the demo.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Camera {
    /// The CIE 1931 observer, so that what it records is exact.
    Main,
    /// Three overlapping bells with a shoulder in the red and an infrared cut: no observer's, so that some colours that
    /// look alike to one camera part to the other. Over the chart it is 1.05 Delta E 2000 off in the mean under D65 and
    /// 4.16 at worst, under tungsten .99 and 3.13, each balanced on its own white.
    Second,
}

impl Camera {
    /// Both cameras.
    pub const ALL: [Self; 2] = [Self::Main, Self::Second];

    /// A short name, as it stands in the truth and in the table of spectra.
    pub fn name(self) -> &'static str {
        match self {
            Self::Main => "main",
            Self::Second => "second",
        }
    }

    /// Sensitivity of the three channels.
    pub fn curves(self) -> [Spectrum; 3] {
        match self {
            Self::Main => [0, 1, 2].map(observer),
            Self::Second => SECOND.map(|channel| {
                Spectrum::of(|nm| {
                    let seen: f64 =
                        channel.iter().map(|&(height, centre, sigma)| height * bell(nm, centre, sigma)).sum();
                    // The infrared cut before the sensor.
                    seen * (1.0 - step(nm, 675.0, 7.0))
                })
            }),
        }
    }
}

/// Bells of the second camera's channels: height, centre in nm, sigma in nm. Our own choice.
const SECOND: [[(f64, f64, f64); 3]; 3] = [
    [(1.0, 602.0, 35.0), (0.15, 545.0, 22.0), (0.04, 445.0, 20.0)],
    [(1.0, 534.0, 38.0), (0.08, 460.0, 25.0), (0.20, 610.0, 25.0)],
    [(1.0, 456.0, 26.0), (0.08, 530.0, 25.0), (0.0, 610.0, 25.0)],
];

/// A camera with the matrix that leads from its channels to linear RGB of some primaries.
#[derive(Debug, Clone, PartialEq)]
pub struct Sight {
    curves: [Spectrum; 3],
    rgb_from_channels: Matrix,
}

impl Sight {
    /// The main camera's matrix is exact. The second's is the best over the chart under D65 by least squares among those
    /// that keep the white: what a maker would give a camera.
    pub fn new(camera: Camera, primaries: &Primaries) -> Self {
        let curves = camera.curves();
        let rgb_from_channels = match camera {
            Camera::Main => primaries.rgb_from_xyz(),
            Camera::Second => fitted(&curves, primaries),
        };
        Self { curves, rgb_from_channels }
    }

    /// Linear RGB of a surface under a light; the light is as strong as makes a perfect diffuser's luminance 1.
    pub fn rgb(&self, surface: &Spectrum, light: &Spectrum) -> [f64; 3] {
        self.rgb_from_channels.apply(channels(&self.curves, surface, light))
    }
}

fn channels(curves: &[Spectrum; 3], surface: &Spectrum, light: &Spectrum) -> [f64; 3] {
    let luminance = light.xyz()[1];
    let reflected = light.times(surface);
    [0, 1, 2].map(|channel| reflected.dot(&curves[channel]) / luminance)
}

/// Channels of the chart's patches by a camera, with those of a perfect diffuser first, under D65.
fn chart(curves: &[Spectrum; 3]) -> Vec<[f64; 3]> {
    static SEEN: LazyLock<(Spectrum, Vec<Spectrum>)> = LazyLock::new(|| {
        let patches = MATERIALS.iter().take(PATCHES).map(|(_, curve)| curve.spectrum());
        (Light::D65.spectrum(), [Spectrum::of(|_| 1.0)].into_iter().chain(patches).collect())
    });
    let (light, surfaces) = &*SEEN;
    surfaces.iter().map(|surface| channels(curves, surface, light)).collect()
}

/// With channels scaled to 1 on white, a row that sums to white's value keeps it. So two unknowns a row are left, and the
/// normal equations are two by two.
fn fitted(curves: &[Spectrum; 3], primaries: &Primaries) -> Matrix {
    let (seen, exact) = (chart(curves), chart(&Camera::Main.curves()));
    let to_rgb = primaries.rgb_from_xyz();
    let (white, rgb_white) = (seen[0], to_rgb.apply(exact[0]));
    let rows = [0, 1, 2].map(|row| {
        let [mut aa, mut ab, mut bb, mut at, mut bt] = [0.0; 5];
        for (seen, exact) in seen.iter().zip(&exact).skip(1) {
            let [r, g, b] = [0, 1, 2].map(|channel| seen[channel] / white[channel]);
            let target = to_rgb.apply(*exact)[row] - rgb_white[row] * b;
            let (first, second) = (r - b, g - b);
            aa += first * first;
            ab += first * second;
            bb += second * second;
            at += first * target;
            bt += second * target;
        }
        let (first, second) = {
            let determinant = aa * bb - ab * ab;
            ((bb * at - ab * bt) / determinant, (aa * bt - ab * at) / determinant)
        };
        [first / white[0], second / white[1], (rgb_white[row] - first - second) / white[2]]
    });
    Matrix(rows)
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::difference::{ciede2000, cielab};
    use colour::{Xy, primaries};

    /// Mean and worst Delta E 2000 of the second camera's chart against the main's, each on its own white.
    fn off(light: Light) -> (f64, f64) {
        let light = light.spectrum();
        let xyz_from_rgb = primaries::S_GAMUT3_CINE.xyz_from_rgb();
        let labs = |camera: Camera| -> Vec<[f64; 3]> {
            let sight = Sight::new(camera, &primaries::S_GAMUT3_CINE);
            let xyz = |surface: &Spectrum| xyz_from_rgb.apply(sight.rgb(surface, &light));
            let white = xyz(&Spectrum::of(|_| 1.0));
            let patches = MATERIALS.iter().take(PATCHES);
            let on_white = |surface: Spectrum| cielab(xyz(&surface).map(|value| value / white[1]), Xy::from_xyz(white));
            patches.map(|(_, curve)| on_white(curve.spectrum())).collect()
        };
        let (main, second) = (labs(Camera::Main), labs(Camera::Second));
        let apart: Vec<f64> = main.iter().zip(&second).map(|(a, b)| ciede2000(*a, *b)).collect();
        (apart.iter().sum::<f64>() / apart.len() as f64, apart.iter().copied().fold(0.0, f64::max))
    }

    #[test]
    fn the_second_camera_is_off_by_what_is_said() {
        for (light, mean, worst) in [(Light::D65, 1.05, 4.16), (Light::Tungsten, 0.99, 3.13)] {
            let (found_mean, found_worst) = off(light);
            println!("{light:?}: {found_mean:.3} in the mean, {found_worst:.3} at worst");
            assert!((found_mean - mean).abs() < 0.01 && (found_worst - worst).abs() < 0.01, "{light:?}");
        }
    }

    #[test]
    fn its_white_is_kept() {
        let (light, diffuser) = (Light::D65.spectrum(), Spectrum::of(|_| 1.0));
        let [main, second] =
            Camera::ALL.map(|camera| Sight::new(camera, &primaries::S_GAMUT3_CINE).rgb(&diffuser, &light));
        for (a, b) in main.iter().zip(second) {
            // A matrix's rounding in double.
            assert!((a - b).abs() < 1e-13, "{main:?} {second:?}");
        }
    }

    #[test]
    fn whites_are_as_bright_to_the_second_camera_to_two_percent() {
        let (sight, diffuser) = (Sight::new(Camera::Second, &primaries::S_GAMUT3_CINE), Spectrum::of(|_| 1.0));
        let weights = primaries::S_GAMUT3_CINE.luminance_weights();
        for light in [Light::BlueHour, Light::Tungsten, Light::Window, Light::Overcast, Light::Tubes] {
            let rgb = sight.rgb(&diffuser, &light.spectrum());
            let luminance: f64 = rgb.iter().zip(weights).map(|(value, weight)| value * weight).sum();
            assert!((luminance - 1.0).abs() < 0.02, "{light:?}: {luminance}");
        }
    }

    #[test]
    fn no_matrix_near_it_does_better() {
        // The sum of squares over the chart has its least at the fit: any step that keeps the white makes it larger.
        let curves = Camera::Second.curves();
        let (seen, exact) = (chart(&curves), chart(&Camera::Main.curves()));
        let to_rgb = primaries::S_GAMUT3_CINE.rgb_from_xyz();
        let squares = |matrix: &Matrix| -> f64 {
            let apart = seen.iter().zip(&exact).map(|(seen, exact)| (matrix.apply(*seen), to_rgb.apply(*exact)));
            apart.flat_map(|(a, b)| [0, 1, 2].map(|row: usize| (a[row] - b[row]).powi(2))).sum()
        };
        let best = fitted(&curves, &primaries::S_GAMUT3_CINE);
        let white = seen[0];
        for row in 0..3 {
            for (up, down) in [(0, 1), (1, 2), (2, 0)] {
                for size in [1e-4, -1e-4] {
                    let mut other = best;
                    other.0[row][up] += size / white[up];
                    other.0[row][down] -= size / white[down];
                    assert!(squares(&other) > squares(&best));
                }
            }
        }
    }
}
