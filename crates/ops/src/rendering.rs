//! The renderings: how scene light is brought into a display's range.

use serde::{Deserialize, Serialize};

use crate::Setting;

/// How scene light is brought into the display's range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Rendering {
    /// The output transform of ACES 2.
    #[serde(rename = "aces-2.0")]
    Aces2,
    /// As it is, for measuring.
    #[serde(rename = "plain")]
    Plain,
    /// Light of a display of a high peak, fitted to a lower one.
    #[serde(rename = "bt2390")]
    Bt2390,
}

impl Rendering {
    /// Every rendering.
    pub const ALL: [Rendering; 3] = [Self::Aces2, Self::Plain, Self::Bt2390];

    /// The name typed after `rendering=`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Aces2 => "aces-2.0",
            Self::Plain => "plain",
            Self::Bt2390 => "bt2390",
        }
    }
}

impl Setting for Rendering {
    fn parse(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|rendering| rendering.name() == text).ok_or_else(|| {
            let names: Vec<_> = Self::ALL.iter().map(|rendering| rendering.name()).collect();
            format!("one of {} is wanted", names.join(", "))
        })
    }
    fn print(&self) -> String {
        self.name().to_string()
    }
}
