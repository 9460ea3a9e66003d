//! From spectra to the numbers that a camera, or the truth, holds for every material.
//!
//! The camera of the demo sees as the CIE 1931 observer does, so its linear RGB is exact: spectrum times reflectance
//! to XYZ, then straight through the matrix of the camera's primaries (equal RGB reads as D65, no adaptation, no
//! camera white balance). The colour of the light therefore stays in the picture; it is the cast to correct.

use colour::{Adaptation, Encoding, Xy, primaries};

use crate::light::Light;
use crate::material::MATERIALS;
use crate::spectrum::Spectrum;

/// What the camera records of every material under a light: linear RGB of the encoding's primaries, by
/// [`crate::material::Material::index`]. A perfect diffuser has luminance 2^`stops`.
pub fn camera_palette(encoding: &Encoding, light: Light, stops: f64) -> Vec<[f64; 3]> {
    let rgb_from_xyz = encoding.primaries.rgb_from_xyz();
    let gain = stops.exp2();
    palette(light, |xyz| rgb_from_xyz.apply(xyz).map(|value| value * gain))
}

/// The same materials as a perfect correction would leave them: lit by D65, well exposed, in ACEScg.
///
/// The road from XYZ to ACEScg is the camera's own (its primaries, its adaptation to the ACES white), so that only
/// the light differs from what [`camera_palette`] sends down the same road.
pub fn truth_palette(encoding: &Encoding) -> Vec<[f64; 3]> {
    // The sums come out a few millionths off the rounded .3127, .3290 that encodings mean by D65.
    let exact = Adaptation::Bradford.matrix(white(Light::D65), primaries::D65);
    let working_from_xyz = encoding.aces_from_rgb() * encoding.primaries.rgb_from_xyz() * exact;
    palette(Light::D65, |xyz| working_from_xyz.apply(xyz))
}

/// Tristimulus values of every material under a light; a perfect diffuser has Y = 1.
pub fn xyz_palette(light: Light) -> Vec<[f64; 3]> {
    palette(light, |xyz| xyz)
}

fn palette(light: Light, finish: impl Fn([f64; 3]) -> [f64; 3]) -> Vec<[f64; 3]> {
    let spectrum: Spectrum = light.spectrum();
    MATERIALS.iter().map(|(_, curve)| finish(curve.spectrum().xyz_under(&spectrum))).collect()
}

/// Chromaticity of a perfect diffuser under a light.
pub fn white(light: Light) -> Xy {
    Xy::from_xyz(light.spectrum().xyz())
}
