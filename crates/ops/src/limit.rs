//! The primaries that a rendering keeps a picture within, which may be narrower than the display's own.
//!
//! What is mastered for high peaks today is kept within P3 on D65 and carried on BT.2020: common practice, no source.

use std::fmt;

use colour::{Primaries, Transfer, primaries};
use serde::{Deserialize, Serialize};

use crate::{OpError, Setting, Signal};

/// Primaries to keep a picture within, the narrowest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
pub enum Limit {
    /// BT.709.
    #[serde(rename = "BT.709")]
    Bt709,
    /// P3 on D65.
    #[serde(rename = "P3-D65")]
    P3D65,
    /// BT.2020.
    #[serde(rename = "BT.2020")]
    Bt2020,
}

impl Limit {
    /// Every limit.
    pub const ALL: [Limit; 3] = [Self::Bt709, Self::P3D65, Self::Bt2020];

    /// The primaries.
    pub fn primaries(self) -> Primaries {
        match self {
            Self::Bt709 => primaries::BT709,
            Self::P3D65 => primaries::P3_D65,
            Self::Bt2020 => primaries::BT2020,
        }
    }

    /// The limit for a display: as told, else its own primaries, and P3 on D65 for PQ and HLG.
    ///
    /// # Errors
    /// A limit wider than the display, or a display whose primaries are none of these.
    pub fn of(operation: &'static str, told: Option<Self>, display: &Signal) -> Result<Self, OpError> {
        let refuse = |field, reason| OpError::Setting { operation, field, reason };
        let own = Self::ALL.into_iter().find(|limit| limit.primaries().same_chromaticities(&display.primaries));
        let Some(own) = own else {
            let reason = format!(
                "aces-2.0 is made for displays of BT.709, P3-D65 or BT.2020 primaries, not {}; use those, or rendering=plain",
                display.primaries.name
            );
            return Err(refuse("rendering", reason));
        };
        let high = matches!(display.curve.transfer, Transfer::Pq | Transfer::Hlg);
        let limit = told.unwrap_or(if high { own.min(Self::P3D65) } else { own });
        if limit > own {
            let reason = format!("a {own} display cannot hold {limit}; give limit={own} or narrower");
            return Err(refuse("limit", reason));
        }
        Ok(limit)
    }
}

impl fmt::Display for Limit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.primaries().name)
    }
}

impl Setting for Limit {
    fn parse(text: &str) -> Result<Self, String> {
        Self::ALL.into_iter().find(|limit| colour::names::same(&limit.primaries().name, text)).ok_or_else(|| {
            let names: Vec<_> = Self::ALL.iter().map(ToString::to_string).collect();
            format!("one of {} is wanted", names.join(", "))
        })
    }
    fn print(&self) -> String {
        self.to_string()
    }
}
