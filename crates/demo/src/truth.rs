//! What is true of a shot, to judge a correction by: its light, its exposure, and what lies where.

use colour::cct::cct_duv;
use colour::{Encoding, Xy};
use serde::{Deserialize, Serialize};

use crate::DemoError;
use crate::material::{Material, PATCHES};
use crate::palette::{truth_palette, white, white_as_read, xyz_palette};
use crate::raster::{Raster, Rect};
use crate::set::{FIRST_STOP, LAST_STOP, STEPS, Stage};
use crate::shot::Shot;

/// The truth of a shot, as it is written beside it.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Truth {
    /// Name of the shot.
    pub shot: String,
    /// Width and height in pixels.
    pub size: [u32; 2],
    /// Id of the camera encoding.
    pub encoding: String,
    /// Stops by which the shot is over (plus) or under (minus).
    pub exposure_error_stops: f64,
    /// The light that falls on card and chart.
    pub light: LightTruth,
    /// The chain that neutralises it.
    pub correction: String,
    /// The picture as that correction should leave it: scene-linear ACEScg, lit by D65, without noise, first frame.
    pub truth_picture: String,
    /// The grey card's 18 % face.
    pub card: Rect,
    /// The 24 patches of the chart, row by row.
    pub patches: Vec<PatchTruth>,
    /// The smooth ramp.
    pub ramp: RampTruth,
    /// The wedge's steps, from the left.
    pub steps: Vec<StepTruth>,
}

/// The light of a shot: what a perfect diffuser sends back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct LightTruth {
    /// What it is.
    pub description: String,
    /// CIE 1931 chromaticity.
    pub white: Xy,
    /// Correlated colour temperature.
    pub kelvin: f64,
    /// Distance from the Planckian locus in CIE 1960 u, v; plus is green.
    pub duv: f64,
    /// The same white as a reading of the encoded picture gives it, for `white-balance from=`.
    pub white_as_read: Xy,
}

/// A patch of the chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PatchTruth {
    /// Its name.
    pub name: String,
    /// Pixels wholly on it.
    pub rect: Rect,
    /// XYZ under the shot's light, well exposed; a perfect diffuser has Y = 1.
    pub xyz: [f64; 3],
    /// Linear ACEScg lit by D65: what a perfect correction gives.
    pub acescg: [f64; 3],
}

/// The smooth ramp: stops from mid grey, linear over its width.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct RampTruth {
    /// Pixels wholly on it.
    pub rect: Rect,
    /// Stops at the ramp's left edge.
    pub first_stop: f64,
    /// Stops at its right edge.
    pub last_stop: f64,
}

/// A step of the wedge.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StepTruth {
    /// Pixels wholly on it.
    pub rect: Rect,
    /// Stops from mid grey.
    pub stops: f64,
}

/// The chain that takes a shot's exposure error and its light away, as text.
pub fn correction(shot: &Shot, encoding: &Encoding) -> String {
    let Xy { x, y } = white_as_read(encoding, shot.light);
    let stops = if shot.exposure_error_stops == 0.0 { 0.0 } else { -shot.exposure_error_stops };
    format!(
        "input-transform encoding={} | exposure stops={stops:+} | white-balance from={x:.8},{y:.8} to=D65 | output-transform display=BT.1886 rendering=plain",
        shot.encoding
    )
}

/// Gathers the truth of a shot.
///
/// # Errors
/// When the light is too far from the Planckian locus to have a colour temperature.
pub fn truth(
    shot: &Shot,
    encoding: &Encoding,
    stage: &Stage,
    raster: &Raster,
    truth_picture: &str,
) -> Result<Truth, DemoError> {
    let white = white(shot.light);
    let (kelvin, duv) =
        cct_duv(white).map_err(|error| DemoError::Light { shot: shot.name, reason: error.to_string() })?;
    let (lit, relit) = (xyz_palette(shot.light), truth_palette(encoding));
    let patch = |index: usize| {
        let material = Material::patch(index);
        let rect = raster.inside(&stage.patch(index));
        PatchTruth {
            name: material.name().to_owned(),
            rect,
            xyz: lit[material.index()],
            acescg: relit[material.index()],
        }
    };
    let step = |index: usize| {
        let (area, stops) = stage.ramp_step(index);
        StepTruth { rect: raster.inside(&area), stops }
    };
    Ok(Truth {
        shot: shot.name.to_owned(),
        size: [raster.size().width, raster.size().height],
        encoding: shot.encoding.to_owned(),
        exposure_error_stops: shot.exposure_error_stops,
        light: LightTruth {
            description: shot.light.description().to_owned(),
            white,
            kelvin,
            duv,
            white_as_read: white_as_read(encoding, shot.light),
        },
        correction: correction(shot, encoding),
        truth_picture: truth_picture.to_owned(),
        card: raster.inside(&stage.card()),
        patches: (0..PATCHES).map(patch).collect(),
        ramp: RampTruth { rect: raster.inside(&stage.ramp()), first_stop: FIRST_STOP, last_stop: LAST_STOP },
        steps: (0..STEPS).map(step).collect(),
    })
}
