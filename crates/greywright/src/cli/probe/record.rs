//! A reading as it is written: of one area, at one place of a chain, at one frame.

use colour::Xy;
use measure::readings::{Reading, Statistics};
use measure::scopes::DARKEST;
use ops::Setting as _;
use serde::Serialize;
use session::readings::Place;

use crate::cli::confidence;

/// Mean, median and standard deviation of red, green and blue.
#[derive(Debug, Clone, Serialize)]
pub struct Levels {
    pub mean: [f64; 3],
    pub median: [f64; 3],
    pub sd: [f64; 3],
}

/// A correlated colour temperature.
#[derive(Debug, Clone, Serialize)]
pub struct Temperature {
    pub kelvin: f64,
    pub duv: f64,
    /// What it is the temperature of.
    pub of: String,
}

/// From the target white: plus is warmer, plus is greener.
#[derive(Debug, Clone, Serialize)]
pub struct FromTarget {
    pub mired: f64,
    pub duv: f64,
}

/// Hue in the vectorscope's plane.
#[derive(Debug, Clone, Serialize)]
pub struct HueAngle {
    pub degrees: f64,
    pub chroma: f64,
}

/// What an area measures at a place. What has no meaning there is none.
#[derive(Debug, Clone, Serialize)]
pub struct Record {
    pub at: String,
    pub signal: String,
    pub rendering: String,
    pub pixels: usize,
    pub left_out: usize,
    pub not_finite: usize,
    pub bits: Option<u32>,
    pub range: Option<String>,
    pub code: Option<Levels>,
    pub value: Levels,
    pub light: Option<Levels>,
    pub stops: Option<f64>,
    pub nits: Option<f64>,
    pub xy: Option<[f64; 2]>,
    pub uv: Option<[f64; 2]>,
    pub temperature: Option<Temperature>,
    pub white: Option<FromTarget>,
    /// Why there is no white.
    pub no_white: Option<&'static str>,
    pub lab: Option<[f64; 3]>,
    pub delta_e_2000: Option<f64>,
    pub delta_e_itp: Option<f64>,
    pub hue: Option<HueAngle>,
    /// How sure the reading of a grey card is.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub confidence: Option<confidence::Data>,
}

impl From<&Statistics> for Levels {
    fn from(of: &Statistics) -> Levels {
        Levels { mean: of.mean, median: of.median, sd: of.sd }
    }
}

impl Record {
    /// Puts a reading into words and figures. Differences are to the neutral of the target white that is as light, and so
    /// say how far the colour is from neutral, not how far from a level.
    pub fn of(place: &Place, reading: &Reading, target: Xy) -> Record {
        let is_known = !place.tap.signal().is_unknown();
        let colour = reading.colour;
        let neutral = colour.neutral_of(target);
        let has_light = is_known && colour.xyz[1] > 0.0;
        Record {
            at: place.name.clone(),
            signal: place.tap.signal().to_string(),
            rendering: place.rendering.clone(),
            pixels: reading.pixels,
            left_out: reading.left_out,
            not_finite: reading.not_finite,
            bits: place.codes.map(|(bits, _)| bits),
            range: place.codes.map(|(_, range)| range.print()),
            code: reading.code.as_ref().map(Levels::from),
            value: Levels::from(&reading.signal),
            light: is_known.then(|| Levels::from(&reading.light)),
            stops: reading.stops.filter(|_| is_known),
            nits: colour.nits().filter(|_| is_known),
            xy: colour.xy().filter(|_| is_known).map(|Xy { x, y }| [x, y]),
            uv: colour.uv1976().filter(|_| is_known),
            temperature: reading
                .cct_duv
                .filter(|_| is_known)
                .and_then(|as_encoded| temperature(place, reading, as_encoded)),
            white: reading.white.filter(|_| is_known).map(|white| FromTarget { mired: white.mired, duv: white.duv }),
            no_white: match (is_known, reading.white) {
                (false, _) => Some("the encoding is not known"),
                (true, Some(_)) => None,
                (true, None) if colour.xyz[1] < DARKEST => Some("too dark: more than 5 stops under mid grey"),
                (true, None) => Some("the colour has no colour temperature"),
            },
            lab: is_known.then(|| colour.lab()),
            delta_e_2000: has_light.then(|| colour.delta_e_2000(&neutral)),
            delta_e_itp: if has_light { colour.delta_e_itp(&neutral) } else { None },
            hue: reading.hue.map(|hue| HueAngle { degrees: hue.degrees, chroma: hue.chroma }),
            confidence: None,
        }
    }
}

/// Equal numbers of a camera stand for the white it was set to: only where that is known do they tell of the light itself.
fn temperature(place: &Place, reading: &Reading, (kelvin, duv): (f64, f64)) -> Option<Temperature> {
    let Some(camera) = &place.camera_white else {
        let of = if place.tap.is_scene() { "as encoded" } else { "as shown" };
        return Some(Temperature { kelvin, duv, of: of.to_string() });
    };
    let (kelvin, duv) = reading.colour.under(camera.xy().ok()?).cct_duv()?;
    Some(Temperature { kelvin, duv, of: format!("of the light, the camera set to {camera}") })
}
