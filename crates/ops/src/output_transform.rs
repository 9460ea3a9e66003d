//! Output transform: linear scene light becomes the signal of a display.
//!
//! Rendering `plain` keeps every colour as it is: adapt the ACES white to D65 by Bradford, change
//! to the display's primaries, and encode by the inverse of the display's light curve. Scene 1.0 is
//! the display's peak on SDR displays, 100 nits on PQ and HLG; scene 0 is the display's black.
//! Nothing is clipped: values outside the display leave as code outside 0..1 (negatives mirrored)
//! and are clipped where a file's integers end. Identity after `input-transform encoding=BT.1886`.
//!
//! # Source
//! Rec. ITU-R BT.1886 annex 1; BT.709-6; BT.2020-2; BT.2100-2; IEC 61966-2-1; SMPTE EG 432-1 and
//! RP 431-2 (P3, gamma 2.6).

use std::fmt;

use colour::transfer::Transfer;
use colour::{Adaptation, CodeRange, Primaries, primaries};
use serde::{Deserialize, Serialize};

use crate::hlg_light::HlgLight;
use crate::light_to_code::LightToCode;
use crate::{Context, Curve, Domain, OpError, Operation, Reference, Setting, Signal, Signals, Step, primaries_step, settings};

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
    pub const ALL: [Display; 7] = [Self::Bt1886, Self::Srgb, Self::Gamma22, Self::P3D65, Self::Bt2020, Self::Pq, Self::Hlg];

    /// The name typed after `display=`.
    pub fn name(self) -> &'static str {
        match self {
            Self::Bt1886 => "BT.1886",
            Self::Srgb => "sRGB",
            Self::Gamma22 => "Gamma2.2",
            Self::P3D65 => "P3-D65",
            Self::Bt2020 => "BT.2020",
            Self::Pq => "PQ",
            Self::Hlg => "HLG",
        }
    }

    /// The peak assumed unless told, in nits: 100 for SDR, 1000 for HLG, the end of the scale for PQ.
    pub fn usual_peak_nits(self) -> f64 {
        match self {
            Self::Pq => 10_000.0,
            Self::Hlg => 1000.0,
            _ => 100.0,
        }
    }

    fn primaries(self) -> Primaries {
        match self {
            Self::Bt1886 | Self::Srgb | Self::Gamma22 => primaries::BT709,
            Self::P3D65 => primaries::P3_D65,
            Self::Bt2020 | Self::Pq | Self::Hlg => primaries::BT2020,
        }
    }

    fn transfer(self, peak_nits: f64, black_nits: f64) -> Transfer {
        match self {
            // The same kind of curve at black 0, where it is gamma 2.4: no setting may change what kind it is.
            Self::Bt1886 | Self::Bt2020 => Transfer::Bt1886 { peak_nits, black_nits },
            Self::Srgb => Transfer::Srgb,
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

/// How scene light is brought into the display's range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Rendering {
    /// As it is, for measuring.
    Plain,
}

impl Setting for Rendering {
    fn parse(text: &str) -> Result<Self, String> {
        if text == "plain" { Ok(Self::Plain) } else { Err("plain is wanted; it is the only rendering so far".to_string()) }
    }
    fn print(&self) -> String {
        "plain".to_string()
    }
}

settings! {
    /// Which display the picture is made for.
    pub struct OutputTransform {
        /// The display: BT.1886, sRGB, Gamma2.2, P3-D65, BT.2020, PQ or HLG.
        display: Display = Display::Bt1886, Choice, None;
        /// Light of signal white, in nits: 100 on SDR displays, 1000 on HLG, 10000 on PQ unless told. Shapes the code of HLG, and of BT.1886 and BT.2020 with a raised black; elsewhere it only says what the signal is for.
        peak: Option<f64> = None, Scale, Nits, soft (48.0, 4000.0), hard (1.0, 10000.0), ends ("dimmer", "brighter");
        /// Light of signal black, in nits. Shapes the code of BT.1886 and BT.2020; elsewhere it only says what the signal is for.
        black: f64 = 0.0, Scale, Nits, soft (0.0, 0.1), hard (0.0, 10.0), ends ("black", "raised black");
        /// Whether integer codes fill the whole range or the legal (video) range.
        range: Option<CodeRange> = None, Choice, None;
        /// How scene light is brought into the display's range: plain.
        rendering: Rendering = Rendering::Plain, Choice, None;
    }
}

impl OutputTransform {
    /// Light of signal white, in nits.
    pub fn peak_nits(&self) -> f64 {
        self.peak.unwrap_or_else(|| self.display.usual_peak_nits())
    }
}

impl Operation for OutputTransform {
    const ID: &'static str = "output-transform";
    const VERSION: u32 = 1;
    const SUMMARY: &'static str = "makes the display's signal of light in the scene";
    const HOME: Domain = Domain::Scene;

    fn signals(&self, _context: &Context<'_>, _given: &Signal) -> Result<Signals, OpError> {
        let (peak_nits, black_nits) = (self.peak_nits(), self.black);
        if black_nits >= peak_nits {
            let reason = format!("{black_nits} nits is no black below a peak of {peak_nits} nits");
            return Err(OpError::Setting { operation: Self::ID, field: "black", reason });
        }
        Ok(Signals { needs: Signal::scene(), gives: self.display.signal(peak_nits, black_nits) })
    }

    fn steps(&self, _context: &Context<'_>, signals: &Signals) -> Vec<Step> {
        let Signals { needs, gives } = signals;
        let linear = Signal { reference: gives.reference, ..gives.linear() };
        let mut steps: Vec<_> = primaries_step(needs, &linear).into_iter().collect();
        if self.display == Display::Hlg {
            let light = HlgLight { peak_nits: self.peak_nits() };
            steps.push(Step { point: light.into(), takes: linear.clone(), gives: linear.clone() });
        }
        steps.push(Step { point: LightToCode::exact(gives.curve.clone()).into(), takes: linear, gives: gives.clone() });
        steps
    }

    fn range(&self) -> Option<CodeRange> {
        self.range
    }
}
