//! The renderings: how scene light is brought into a display's range.

use serde::{Deserialize, Serialize};

use crate::Setting;

/// How scene light is brought into the display's range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rendering {
    /// As it is, for measuring.
    Plain,
}

impl Setting for Rendering {
    fn parse(text: &str) -> Result<Self, String> {
        if text == "plain" {
            Ok(Self::Plain)
        } else {
            Err("plain is wanted; it is the only rendering so far".to_string())
        }
    }
    fn print(&self) -> String {
        "plain".to_string()
    }
}
