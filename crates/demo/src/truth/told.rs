//! What is true of a shot, as it is written beside it.

use colour::Xy;
use serde::{Deserialize, Serialize};

use super::spot::Rect;

/// The truth of a shot: `truth/truth.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct Truth {
    /// Name of the shot.
    pub shot: String,
    /// Width and height in pixels.
    pub size: [u32; 2],
    /// Id of the camera encoding.
    pub encoding: String,
    /// The camera: `main` sees as the CIE 1931 observer, `second` by curves of its own, which `spectra.tsv` has.
    pub camera: String,
    /// Stops by which the shot is over (plus) or under (minus) at its first frame.
    pub exposure_error_stops: f64,
    /// The light that falls on the first card, at the first frame.
    pub light: LightTruth,
    /// Every source by itself, in the order in which shares are given.
    pub sources: Vec<SourceTruth>,
    /// The chain that neutralises the card.
    pub correction: String,
    /// The first frame as a perfect correction leaves it: the first of `pictures.relit`.
    pub truth_picture: String,
    /// The pictures beside the frames.
    pub pictures: PicturesTruth,
    /// The first grey card's 18 % face.
    pub card: Rect,
    /// Patches of the chart that the picture shows, row by row.
    pub patches: Vec<PatchTruth>,
    /// Dark neutral greys.
    pub steps: Vec<StepTruth>,
    /// Every named place.
    pub marks: Vec<MarkTruth>,
    /// Every material, by its id.
    pub materials: Vec<MaterialTruth>,
    /// Every frame.
    pub frames: Vec<FrameTruth>,
    /// What the sensor does to light.
    pub sensor: SensorTruth,
}

/// A light: what a perfect diffuser sends back.
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
    /// The same white as a reading of the encoded picture gives it, for `white-balance from=`; of a picture without a veil.
    pub white_as_read: Xy,
}

/// A source of light.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct SourceTruth {
    /// What it is in the shot.
    pub name: String,
    /// What it is.
    pub description: String,
    /// CIE 1931 chromaticity.
    pub white: Xy,
    /// Correlated colour temperature; none for what is far from the Planckian locus.
    pub kelvin: Option<f64>,
    /// Distance from the Planckian locus; none as above.
    pub duv: Option<f64>,
    /// CIE 1931 chromaticity of what it turns into, where it drifts.
    pub later_white: Option<Xy>,
    /// Whether the re-lit truth has D65 in its place; a signal keeps its colour.
    pub relit: bool,
}

/// The pictures beside the frames, with `%04d` for the frame's number.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PicturesTruth {
    /// Frames from 1 that have them.
    pub frames: u32,
    /// ACEScg by the camera's own road, as exposed, in the light of the shot: no veil, no noise, not clipped.
    pub same: String,
    /// ACEScg, well exposed, every source at its full level and replaced by D65, but for signals.
    pub relit: String,
    /// 16-bit codes: red the material's id, green the channels that clip (1 red, 2 green, 4 blue), blue the material's share of
    /// the light, of 65535.
    pub maps: String,
    /// 16-bit codes: shares of the light, of 65535, of three sources each; all of a pixel add up to it.
    pub shares: Vec<String>,
}

impl PicturesTruth {
    /// The name of the re-lit picture of a frame, counted from 1.
    pub fn relit_of(&self, frame: u32) -> String {
        numbered(&self.relit, frame)
    }
}

/// A pattern of pictures with a frame's number in it.
pub fn numbered(pattern: &str, frame: u32) -> String {
    pattern.replace("%04d", &format!("{frame:04}"))
}

/// A patch of the chart.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct PatchTruth {
    /// Its name.
    pub name: String,
    /// Pixels wholly on it.
    pub rect: Rect,
    /// XYZ under the shot's light, well exposed; a perfect diffuser at the card has Y = 1.
    pub xyz: [f64; 3],
    /// Linear ACEScg lit by D65: what a perfect correction gives.
    pub acescg: [f64; 3],
}

/// A dark grey.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct StepTruth {
    /// Pixels wholly on it.
    pub rect: Rect,
    /// Stops of its paint from mid grey.
    pub stops: f64,
}

/// A named place.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MarkTruth {
    /// Its name.
    pub name: String,
    /// Pixels that show one material alone, or most of all where it is no flat paint.
    pub rect: Rect,
    /// Id of the material.
    pub material: usize,
    /// Light on it at the first frame, where a perfect diffuser at the card has 1.
    pub level: f64,
    /// Share of each source in that light.
    pub shares: Vec<f64>,
    /// XYZ under the shot's light, well exposed; a perfect diffuser at the card has Y = 1.
    pub xyz: [f64; 3],
    /// Linear ACEScg lit by D65: what a perfect correction gives.
    pub acescg: [f64; 3],
}

/// A material under every source of the shot; a perfect diffuser has luminance 1.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct MaterialTruth {
    /// Its name.
    pub name: String,
    /// XYZ under each source at the first frame.
    pub xyz: Vec<[f64; 3]>,
    /// Linear camera RGB under each source at the first frame.
    pub camera: Vec<[f64; 3]>,
    /// Linear ACEScg in the re-lit truth, for each source.
    pub acescg: Vec<[f64; 3]>,
}

/// A frame, by what a perfect diffuser at the first card sends back.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct FrameTruth {
    /// Its number, from 1.
    pub frame: u32,
    /// Its luminance, where 1 is well exposed.
    pub level: f64,
    /// Stops over (plus) or under (minus).
    pub exposure_stops: f64,
    /// CIE 1931 chromaticity.
    pub white: Xy,
    /// Correlated colour temperature.
    pub kelvin: f64,
    /// Distance from the Planckian locus.
    pub duv: f64,
    /// The white as a reading of the encoded picture gives it.
    pub white_as_read: Xy,
    /// Level of each source: 1 is full.
    pub source_levels: Vec<f64>,
    /// How far each source has gone over to its later light, 0 to 1.
    pub source_drift: Vec<f64>,
}

/// What the sensor does to light before it is encoded, in linear camera RGB as exposed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub struct SensorTruth {
    /// The veil at the first frame.
    pub veil: [f64; 3],
    /// The veil as a share of a well exposed white.
    pub veil_share: f64,
    /// Whether there is noise.
    pub noise: bool,
    /// Deviation of reading; variance of a channel is `noise-read^2 + noise-light x light`.
    pub noise_read: f64,
    /// Variance per light.
    pub noise_light: f64,
    /// Light at which a channel is full.
    pub full: f64,
    /// Bits of a code.
    pub bits: u8,
}
