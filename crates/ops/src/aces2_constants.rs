//! The constants of both ways of the ACES 2 transform as the GPU takes them.
//!
//! Lightness and colourfulness are shares of the lightness of the peak, and cones are in units in which a response is
//! `v / (v + 1)`: scales are folded into the matrices here. The tone scale works on logarithms to base two.
//!
//! # Source
//! ACES Output Transform 2.0, aces-core CTL, Lib.Academy.OutputTransform.

use colour::Matrix;
use colour::aces2::Aces2;
use colour::aces2::appearance::{Appearance, REFERENCE_NITS};

use crate::aces2_cache::Made;
use crate::{Constant, Constants};

/// The response is `x^0.42 / (x^0.42 + 27.13)`.
const RESPONSE_POWER: f64 = 0.42;
const RESPONSE_OFFSET: f64 = 27.13;

/// Light on some primaries, as the transform meets it.
pub(crate) struct Side<'a> {
    /// The appearance model of those primaries.
    pub model: &'a Appearance,
    /// What 1.0 of the light is of 100 nits.
    pub scale: f64,
    /// The achromatic response, 1 for that of 100 nits, that the shader hands to the way back from responses as 1.
    pub grey: f64,
}

/// The constants of the transform from one side to the other; `most` is the display's peak in its light.
pub(crate) fn constants(made: &Made, from: &Side<'_>, to: &Side<'_>, most: f64) -> Constants {
    let Made { transform, hues } = made;
    let (scene, tone) = (transform.scene_model(), transform.tone_scale());
    let (chroma, gamut) = (transform.chroma(), transform.gamut());
    let most_j = gamut.most_j;
    let cone = from.scale * RESPONSE_OFFSET.powf(-1.0 / RESPONSE_POWER);
    let opponent = Matrix::diagonal([from.model.white_response, 1.0 / most_j, 1.0 / most_j]);
    let peak = scene.white_response * peak_achromatic(transform);
    let bend = (tone.bend_nits * scene.cone_per_nit).log2() - RESPONSE_OFFSET.log2() / RESPONSE_POWER;
    let level = RESPONSE_OFFSET.log2() - RESPONSE_POWER * (REFERENCE_NITS * scene.cone_per_nit).log2();
    vec![
        ("cones", Constant::Matrix((Matrix::diagonal([cone; 3]) * from.model.cones_from_rgb).0)),
        ("opponent", Constant::Matrix((opponent * from.model.opponent_from_responses).0)),
        (
            "responses",
            Constant::Matrix((to.model.responses_from_opponent * Matrix::diagonal([to.grey, most_j, most_j])).0),
        ),
        ("light", Constant::Matrix((Matrix::diagonal([1.0 / to.scale; 3]) * to.model.rgb_from_cones).0)),
        ("most", Constant::Scalar(most)),
        ("bend", Constant::Scalar(bend)),
        ("ceiling", Constant::Scalar(tone.ceiling.log2())),
        ("level", Constant::Scalar(level)),
        ("of_peak", Constant::Scalar(1.0 / peak)),
        ("peak", Constant::Scalar(peak.log2())),
        ("expansion", Constant::Scalar(chroma.expansion)),
        ("threshold", Constant::Scalar(chroma.threshold)),
        // In units of the wave over the hues, as the norm.
        ("compression", Constant::Scalar(chroma.compression * chroma.norm_scale / most_j)),
        ("norm", Constant::Scalar(chroma.norm_scale / most_j)),
        ("middle", Constant::Scalar(gamut.middle_j / most_j)),
        ("far", Constant::Scalar(gamut.focus_distance)),
        // The published gain is a decimal logarithm's square.
        ("gain", Constant::Scalar(gamut.focus_distance * 2f64.log10().powi(2))),
        ("lower", Constant::Scalar(gamut.lower_exponent)),
        ("before", Constant::Break(hues.before)),
        ("start", Constant::TableStart),
    ]
}

/// The achromatic response of the lightness of the peak, 1 for that of 100 nits.
pub(crate) fn peak_achromatic(transform: &Aces2) -> f64 {
    (transform.gamut().most_j / 100.0).powf(1.0 / transform.scene_model().exponent)
}
