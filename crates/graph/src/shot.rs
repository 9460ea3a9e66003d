//! Shots and set-ups, as a project keeps them.

use colour::white::White;
use colour::{CodeRange, Encoding, EncodingError};
use ops::{Book, Setting};
use serde::{Deserialize, Serialize};

use crate::Layer;

/// How far the work on a shot has come.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    /// Nothing was done.
    #[default]
    Untouched,
    /// Exposure and white are right in themselves.
    Balanced,
    /// It fits its neighbours.
    Matched,
    /// Somebody looked at it on the scopes and agreed.
    Checked,
    /// Its frames, CDL or LUT are given away.
    HandedOver,
}

impl State {
    /// Every state, in the order of the work.
    pub const ALL: [State; 5] = [Self::Untouched, Self::Balanced, Self::Matched, Self::Checked, Self::HandedOver];

    /// The name, as written.
    pub fn name(self) -> &'static str {
        match self {
            Self::Untouched => "untouched",
            Self::Balanced => "balanced",
            Self::Matched => "matched",
            Self::Checked => "checked",
            Self::HandedOver => "handed-over",
        }
    }

    /// Reads a name.
    ///
    /// # Errors
    /// An unknown one; the message lists them.
    pub fn parse(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|state| state.name() == text).ok_or_else(|| {
            let names = Self::ALL.map(Self::name).join(", ");
            format!("'{text}' is no state of a shot; there are {names}")
        })
    }
}

/// The part of a shot's frames that is measured: left, top, width and height in pixels. It keeps out mattes and corners.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct MeasuringRegion(pub [u32; 4]);

impl Setting for MeasuringRegion {
    fn parse(text: &str) -> Result<Self, String> {
        let numbers: Option<Vec<u32>> = text.split(',').map(|number| number.trim().parse().ok()).collect();
        match numbers.as_deref() {
            Some(&[x, y, width, height]) if width > 0 && height > 0 => Ok(Self([x, y, width, height])),
            _ => Err("left, top, width and height are wanted in whole pixels, for instance 0,140,2048,800".to_string()),
        }
    }

    fn print(&self) -> String {
        self.0.map(|number| number.to_string()).join(",")
    }
}

/// Shots that were lit and framed alike.
#[derive(Debug, Clone, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct SetUp {
    /// Whatever is to be remembered.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The numbers that its shots share.
    #[serde(skip_serializing_if = "Layer::is_empty")]
    pub layer: Layer,
}

/// A camera original with its place in the work.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Shot {
    /// Path of its frames, as written in the project.
    pub media: String,
    /// The set-up that it belongs to.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub set_up: Option<String>,
    /// Name of the camera roll.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub camera_roll: Option<String>,
    /// What its code values mean, by name.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub encoding: Option<String>,
    /// Exposure index, where the encoding has one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub exposure_index: Option<u32>,
    /// How its integer codes span the signal.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub range: Option<CodeRange>,
    /// The white that the camera was set to. It changes no pixel: readings use it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub camera_white: Option<White>,
    /// What readings keep to; the whole frame where the project does not say.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub measuring_region: Option<MeasuringRegion>,
    /// How far the work has come.
    #[serde(skip_serializing_if = "is_untouched")]
    pub state: State,
    /// Whether edits directed at it are refused.
    #[serde(skip_serializing_if = "std::ops::Not::not")]
    pub locked: bool,
    /// Whatever is to be remembered.
    #[serde(skip_serializing_if = "String::is_empty")]
    pub note: String,
    /// The candidate that was chosen for it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub candidate: Option<String>,
    /// The numbers of its own.
    #[serde(skip_serializing_if = "Layer::is_empty")]
    pub layer: Layer,
}

impl Shot {
    /// The encoding of its frames; none where the project does not say.
    ///
    /// # Errors
    /// An unknown name, or an exposure index that the encoding does not have.
    pub fn encoding(&self, book: &Book) -> Result<Option<Encoding>, EncodingError> {
        self.encoding.as_deref().map(|name| book.find(name, self.exposure_index)).transpose()
    }
}

fn is_untouched(state: &State) -> bool {
    *state == State::Untouched
}
