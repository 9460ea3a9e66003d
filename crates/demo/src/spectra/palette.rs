//! From spectra to the numbers that a camera, or the truth, holds for every material.
//!
//! A palette has an entry a material, by [`super::material::Material::index`], with the light as strong as gives a
//! perfect diffuser luminance 1. Palettes add up: under two lights a material has the weighted sum of both, and
//! a light on its way to another is a mix of the two.
//!
//! No camera balances its white: spectrum times reflectance goes through the curves and one matrix (equal RGB reads as
//! D65, no adaptation). The colour of the light therefore stays in the picture; it is the cast to correct.

use colour::{Adaptation, Encoding, Xy, primaries};

use super::camera::{Camera, Sight};
use super::light::Light;
use super::material::MATERIALS;
use super::spectrum::Spectrum;

/// What a camera records of every material under a light: linear RGB of the encoding's primaries.
///
/// The second camera reads a perfect diffuser's luminance as 1 under D65, and within 2 % of it under the scene's whites.
pub fn palette(camera: Camera, encoding: &Encoding, light: Light) -> Vec<[f64; 3]> {
    let sight = Sight::new(camera, &encoding.primaries);
    each(light, |surface, light| sight.rgb(surface, light))
}

/// The same materials as a perfect correction would leave them: lit by D65, well exposed, in ACEScg.
///
/// The road from XYZ to ACEScg is the camera's own (its primaries, its adaptation to the ACES white), so that only
/// the light differs from what [`palette`] sends down the same road.
pub fn truth_palette(encoding: &Encoding) -> Vec<[f64; 3]> {
    // The sums come out a few millionths off the rounded .3127, .3290 that encodings mean by D65.
    let exact = Adaptation::Bradford.matrix(white(Light::D65), primaries::D65);
    let working_from_xyz = encoding.aces_from_rgb() * encoding.primaries.rgb_from_xyz() * exact;
    each(Light::D65, |surface, light| working_from_xyz.apply(surface.xyz_under(light)))
}

/// Tristimulus values of every material under a light; a perfect diffuser has Y = 1.
pub fn xyz_palette(light: Light) -> Vec<[f64; 3]> {
    each(light, Spectrum::xyz_under)
}

fn each(light: Light, seen: impl Fn(&Spectrum, &Spectrum) -> [f64; 3]) -> Vec<[f64; 3]> {
    let light = light.spectrum();
    MATERIALS.iter().map(|(_, curve)| seen(&curve.spectrum(), &light)).collect()
}

/// Chromaticity of a perfect diffuser under a light.
pub fn white(light: Light) -> Xy {
    Xy::from_xyz(light.spectrum().xyz())
}

/// The chromaticity of linear camera RGB as a reading of the encoded picture gives it, which is what
/// `white-balance from=` takes.
///
/// For the main camera it differs from [`white`] by some units in the fourth digit, because the camera's road to the
/// ACES white may use another adaptation than the road back to D65.
pub fn as_read(encoding: &Encoding, camera_rgb: [f64; 3]) -> Xy {
    // Every chromaticity is typed and read as XYZ on a D65 white.
    let xyz_from_working =
        Adaptation::Bradford.matrix(primaries::ACES_WHITE, primaries::D65) * primaries::AP1.xyz_from_rgb();
    Xy::from_xyz(xyz_from_working.apply(encoding.aces_from_rgb().apply(camera_rgb)))
}
