//! What a person looks at: a monitor, laid over a picture that is made for a display.
//!
//! A [`Monitor`] says what a screen makes of its code. [`Monitored`] is a picture seen through one: the signal of the
//! delivery, turned to display light in nits, and that light turned to the code by which this monitor shows it. Light is
//! shown as it is: what the delivery's display has at 48 nits, the monitor has at 48 nits.
//!
//! A [`Monitored`] is another type than an [`Elaborated`](crate::Elaborated), and neither gives the other: what writes
//! pictures or files for others takes an elaborated graph, so that no monitor can get into them.
//!
//! ```
//! fn looks(seen: &graph::Monitored) -> &graph::Monitored { seen }
//! fn hands_over(picture: &graph::Elaborated) {}
//! ```
//!
//! ```compile_fail,E0308
//! fn looks(seen: &graph::Monitored) -> &graph::Monitored { seen }
//! fn hands_over(picture: &graph::Elaborated) {}
//! fn never(seen: &graph::Monitored) { hands_over(looks(seen)) }
//! ```
//!
//! # Source
//! Rec. ITU-R BT.1886 annex 1; IEC 61966-2-1; SMPTE ST 2084. That light below a screen's black cannot be shown, and adds
//! to it on a screen of gamma or sRGB, is common practice, no source.

mod seen;

use std::sync::Arc;

use colour::{Lut, Primaries, Transfer};
use ops::{Curve, Reference, Signal};

pub use seen::{Monitored, MonitoredError};

/// How a monitor makes light of its code.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Eotf {
    /// BT.1886 with the monitor's own peak and black.
    Bt1886,
    /// The sRGB curve, from black to peak.
    Srgb,
    /// A power law, from black to peak.
    Gamma(f64),
    /// The perceptual quantiser: code says nits, whatever the monitor's peak is.
    Pq,
}

/// What becomes of a white that is not the monitor's own.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum MonitorWhite {
    /// It is shown as the colour that it is.
    Kept,
    /// It is shown as the monitor's own white, and all colours are adapted with it (Bradford).
    Own,
}

/// A monitor: what its code looks like.
#[derive(Debug, Clone, PartialEq)]
pub struct Monitor {
    /// What people call it.
    pub name: String,
    /// Its primaries and its own white.
    pub primaries: Primaries,
    /// What becomes of another white.
    pub white: MonitorWhite,
    /// How it makes light of code.
    pub eotf: Eotf,
    /// Its brightest white, in nits.
    pub peak_nits: f64,
    /// Its black, in nits.
    pub black_nits: f64,
    /// A table that its code goes through last, with the name of its file.
    pub lut: Option<(String, Arc<Lut>)>,
}

impl Monitor {
    /// What its code is.
    pub fn signal(&self) -> Signal {
        let (peak_nits, black_nits) = (self.peak_nits, self.black_nits);
        let transfer = match self.eotf {
            Eotf::Bt1886 => Transfer::Bt1886 { peak_nits, black_nits },
            Eotf::Srgb => Transfer::Srgb,
            Eotf::Gamma(exponent) => Transfer::Gamma { exponent },
            Eotf::Pq => Transfer::Pq,
        };
        Signal {
            primaries: self.primaries.clone(),
            curve: Curve::new(self.eotf.to_string(), transfer),
            reference: Reference::Display { peak_nits, black_nits },
            adaptation: colour::Adaptation::Bradford,
        }
    }

    /// Nits of linear 0, and nits from there to linear 1, as its curve counts.
    fn light_of_linear(&self) -> (f64, f64) {
        match self.eotf {
            Eotf::Pq => (0.0, self.signal().unit_nits()),
            _ => (self.black_nits, self.peak_nits - self.black_nits),
        }
    }
}

impl std::fmt::Display for Eotf {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Bt1886 => f.write_str("BT.1886"),
            Self::Srgb => f.write_str("sRGB"),
            Self::Gamma(exponent) => write!(f, "gamma {exponent}"),
            Self::Pq => f.write_str("PQ"),
        }
    }
}
