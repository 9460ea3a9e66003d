//! The displays that a picture can be made for: primaries, curve, light of white and black.
//!
//! # Source
//! Rec. ITU-R BT.1886 annex 1; BT.709-6; BT.2020-2; BT.2100-2; IEC 61966-2-1; SMPTE EG 432-1 and
//! RP 431-2 (P3, gamma 2.6). P3 primaries on D65 with the sRGB curve: common practice of computer displays, no source.

use std::fmt;

use colour::transfer::Transfer;
use colour::{Adaptation, Primaries, primaries};
use serde::{Deserialize, Serialize};

use crate::{Curve, Reference, Rendering, Setting, Signal};

/// A kind of display.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub enum Display {
    /// BT.709 primaries, BT.1886 gamma.
    #[serde(rename = "BT.1886")]
    Bt1886,
    /// BT.709 primaries, the sRGB curve.
    #[serde(rename = "sRGB")]
    Srgb,
    /// BT.709 primaries, gamma 2.2.
    #[serde(rename = "Gamma2.2")]
    Gamma22,
    /// P3 primaries, D65 white, gamma 2.6.
    #[serde(rename = "P3-D65")]
    P3D65,
    /// P3 primaries, D65 white, the sRGB curve.
    #[serde(rename = "Display-P3")]
    DisplayP3,
    /// BT.2020 primaries, BT.1886 gamma.
    #[serde(rename = "BT.2020")]
    Bt2020,
    /// BT.2100 perceptual quantiser.
    #[serde(rename = "PQ")]
    Pq,
    /// BT.2100 hybrid log-gamma.
    #[serde(rename = "HLG")]
    Hlg,
}

impl Display {
    /// Every display.
    pub const ALL: [Display; 8] =
        [Self::Bt1886, Self::Srgb, Self::Gamma22, Self::P3D65, Self::DisplayP3, Self::Bt2020, Self::Pq, Self::Hlg];

    /// The name typed after `display=`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bt1886 => "BT.1886",
            Self::Srgb => "sRGB",
            Self::Gamma22 => "Gamma2.2",
            Self::P3D65 => "P3-D65",
            Self::DisplayP3 => "Display-P3",
            Self::Bt2020 => "BT.2020",
            Self::Pq => "PQ",
            Self::Hlg => "HLG",
        }
    }

    /// The peak assumed unless told, in nits: 100 for SDR, 1000 for HLG and PQ, but the end of the scale for PQ where
    /// light is kept as it is.
    pub fn usual_peak_nits(self, rendering: Rendering) -> f64 {
        match (self, rendering) {
            (Self::Pq, Rendering::Plain) => 10_000.0,
            (Self::Pq | Self::Hlg, _) => 1000.0,
            _ => 100.0,
        }
    }

    /// What linear 0 stands for, and how much from there to linear 1, in nits: black and peak, but on HDR displays 1 is
    /// 100 nits above black, and the signal of PQ is light itself. On HLG those 100 nits shrink with a raised black so that the peak
    /// stays.
    pub(crate) fn zero_and_unit_nits(self, peak_nits: f64, black_nits: f64) -> [f64; 2] {
        match self {
            Self::Pq => [0.0, 100.0],
            Self::Hlg => [black_nits, 100.0 * (peak_nits - black_nits) / peak_nits],
            _ => [black_nits, peak_nits - black_nits],
        }
    }

    fn primaries(self) -> Primaries {
        match self {
            Self::Bt1886 | Self::Srgb | Self::Gamma22 => primaries::BT709,
            Self::P3D65 | Self::DisplayP3 => primaries::P3_D65,
            Self::Bt2020 | Self::Pq | Self::Hlg => primaries::BT2020,
        }
    }

    fn transfer(self, peak_nits: f64, black_nits: f64) -> Transfer {
        match self {
            // The same kind of curve at black 0, where it is gamma 2.4: no setting may change what kind it is.
            Self::Bt1886 | Self::Bt2020 => Transfer::Bt1886 { peak_nits, black_nits },
            Self::Srgb | Self::DisplayP3 => Transfer::Srgb,
            Self::Gamma22 => Transfer::Gamma { exponent: 2.2 },
            Self::P3D65 => Transfer::Gamma { exponent: 2.6 },
            Self::Pq => Transfer::Pq,
            Self::Hlg => Transfer::Hlg,
        }
    }

    /// The signal of a display whose white and black have this light.
    pub fn signal(self, peak_nits: f64, black_nits: f64) -> Signal {
        Signal {
            primaries: self.primaries(),
            curve: Curve::new(self.name(), self.transfer(peak_nits, black_nits)),
            reference: Reference::Display { peak_nits, black_nits },
            adaptation: Adaptation::Bradford,
        }
    }
}

impl fmt::Display for Display {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.name())
    }
}

impl Setting for Display {
    fn parse(text: &str) -> Result<Self, String> {
        let plain = |text: &str| text.replace(['.', '-', ' ', '_'], "").to_lowercase();
        // A BT.709 signal is shown on a BT.1886 display.
        let wanted = if plain(text) == "bt709" { "bt1886".to_string() } else { plain(text) };
        Self::ALL.into_iter().find(|display| plain(display.name()) == wanted).ok_or_else(|| {
            let names: Vec<_> = Self::ALL.iter().map(|display| display.name()).collect();
            format!("one of {} is wanted", names.join(", "))
        })
    }
    fn print(&self) -> String {
        self.name().to_string()
    }
}
