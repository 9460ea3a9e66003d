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

use crate::{Constant, Constants};

/// The response is `x^0.42 / (x^0.42 + 27.13)`.
const RESPONSE_POWER: f64 = 0.42;
const RESPONSE_OFFSET: f64 = 27.13;

/// Light to the cones' units, `scale` being what 1.0 of it is of 100 nits.
pub(crate) fn cones(model: &Appearance, scale: f64) -> Constant {
    let unit = RESPONSE_OFFSET.powf(-1.0 / RESPONSE_POWER);
    Constant::Matrix(model.cones_from_rgb.0.map(|row| row.map(|value| value * unit * scale)))
}

/// The cones' units to light, `scale` being what 1.0 of it is of 100 nits.
pub(crate) fn light(model: &Appearance, scale: f64) -> Constant {
    let unit = RESPONSE_OFFSET.powf(1.0 / RESPONSE_POWER);
    Constant::Matrix(model.rgb_from_cones.0.map(|row| row.map(|value| value * unit / scale)))
}

/// Responses to the response of the grey that is as light, and the opponent colours as shares of the peak's lightness.
pub(crate) fn opponent(model: &Appearance, transform: &Aces2) -> Constant {
    let share = 1.0 / transform.gamut().most_j;
    Constant::Matrix((Matrix::diagonal([model.white_response, share, share]) * model.opponent_from_responses).0)
}

/// The inverse of [`opponent`], but for its first number, which `grey` stands for.
pub(crate) fn responses(model: &Appearance, transform: &Aces2, grey: f64) -> Constant {
    let most_j = transform.gamut().most_j;
    Constant::Matrix((model.responses_from_opponent * Matrix::diagonal([grey, most_j, most_j])).0)
}

/// The achromatic response of the lightness of the peak, 1 for that of 100 nits.
pub(crate) fn peak_achromatic(transform: &Aces2) -> f64 {
    (transform.gamut().most_j / 100.0).powf(1.0 / transform.scene_model().exponent)
}

/// The tone scale's constants.
pub(crate) fn tone_constants(transform: &Aces2) -> Constants {
    let (scene, tone) = (transform.scene_model(), transform.tone_scale());
    let peak = scene.white_response * peak_achromatic(transform);
    let bend = (tone.bend_nits * scene.cone_per_nit).log2() - RESPONSE_OFFSET.log2() / RESPONSE_POWER;
    let level = RESPONSE_OFFSET.log2() - RESPONSE_POWER * (REFERENCE_NITS * scene.cone_per_nit).log2();
    vec![
        ("bend", Constant::Scalar(bend)),
        ("ceiling", Constant::Scalar(tone.ceiling.log2())),
        ("level", Constant::Scalar(level)),
        ("of_peak", Constant::Scalar(1.0 / peak)),
        ("peak", Constant::Scalar(peak.log2())),
    ]
}

/// The constants of both compressions.
pub(crate) fn compression_constants(transform: &Aces2) -> Constants {
    let (chroma, gamut) = (transform.chroma(), transform.gamut());
    vec![
        ("expansion", Constant::Scalar(chroma.expansion)),
        ("threshold", Constant::Scalar(chroma.threshold)),
        ("compression", Constant::Scalar(chroma.compression)),
        ("norm", Constant::Scalar(chroma.norm_scale / gamut.most_j)),
        ("middle", Constant::Scalar(gamut.middle_j / gamut.most_j)),
        ("far", Constant::Scalar(gamut.focus_distance)),
        // The published gain is a decimal logarithm's square.
        ("gain", Constant::Scalar(gamut.focus_distance * 2f64.log10().powi(2))),
        ("least", Constant::Scalar(1e-4 / gamut.most_j)),
        ("lower", Constant::Scalar(gamut.lower_exponent)),
    ]
}
