//! What the numbers on a wire are: primaries with their white, a curve, and scene or display light.

use std::fmt;

use colour::transfer::Transfer;
use colour::{Adaptation, Encoding, Primaries, primaries};

/// Scene light of a mid-grey card, an 18 % reflector: where stops are counted from.
///
/// # Source
/// Academy S-2014-004: scene light is reflectance. 18 % for mid grey is common practice.
pub const MID_GREY: f64 = 0.18;

/// The name of primaries that are not known.
const UNKNOWN: &str = "unknown";

/// A transfer with the name people know it by; the name is what dumps and messages print.
#[derive(Debug, Clone, PartialEq)]
pub struct Curve {
    /// For instance `LogC3 EI 800`, `ACEScct`, `linear`.
    pub name: String,
    /// The published maths.
    pub transfer: Transfer,
}

impl Curve {
    /// A named curve.
    pub fn new(name: impl Into<String>, transfer: Transfer) -> Self {
        Self { name: name.into(), transfer }
    }

    /// Linear light.
    pub fn linear() -> Self {
        Self::new("linear", Transfer::Linear)
    }

    /// Whether the numbers are proportional to light.
    pub fn is_linear(&self) -> bool {
        self.transfer == Transfer::Linear
    }
}

/// Whether a signal describes the light of a scene or of a display.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Reference {
    /// Scene light; 0.18 is a mid-grey card.
    Scene,
    /// The light of a display with this peak and black, in nits (cd/m2).
    Display {
        /// Light of signal white.
        peak_nits: f64,
        /// Light of signal black.
        black_nits: f64,
    },
}

/// The type of a wire. Range, bit depth and packing are no part of it: they belong to a file's edge.
#[derive(Debug, Clone, PartialEq)]
pub struct Signal {
    /// Primaries and white of the channels.
    pub primaries: Primaries,
    /// How code relates to light.
    pub curve: Curve,
    /// Scene or display.
    pub reference: Reference,
    /// How the white of these primaries is adapted to the ACES white, as its maker's official transform does it.
    pub adaptation: Adaptation,
}

impl Signal {
    /// Linear scene light on AP1: the home of most corrections.
    ///
    /// # Source
    /// Academy S-2014-004 (ACEScg).
    pub fn scene() -> Self {
        Self {
            primaries: primaries::AP1,
            curve: Curve::linear(),
            reference: Reference::Scene,
            adaptation: Adaptation::Bradford,
        }
    }

    /// The log working space, the same for every camera.
    ///
    /// # Source
    /// Academy S-2016-001 (ACEScct).
    pub fn log() -> Self {
        let transfer = Encoding::named("ACEScct", None).map_or(Transfer::Linear, |e| e.transfer);
        Self { curve: Curve::new("ACEScct", transfer), ..Self::scene() }
    }

    /// Numbers of which nothing is known. Their primaries stand for none: what asks for primaries refuses them.
    pub fn unknown() -> Self {
        let primaries = Primaries { name: UNKNOWN.into(), ..primaries::AP1 };
        Self { primaries, ..Self::scene() }
    }

    /// Whether nothing is known of the numbers.
    pub fn is_unknown(&self) -> bool {
        self.primaries.name == UNKNOWN
    }

    /// The code values that a file of this encoding holds.
    pub fn code(encoding: &Encoding) -> Self {
        let name = match encoding.exposure_index {
            Some(index) => format!("{} EI {index}", encoding.name),
            None => encoding.name.clone(),
        };
        let curve = if encoding.transfer == Transfer::Linear {
            Curve::linear()
        } else {
            Curve::new(name, encoding.transfer.clone())
        };
        let reference = match encoding.reference {
            colour::Reference::Scene => Reference::Scene,
            // Signal 1 of the perceptual quantiser is 10000 nits (BT.2100-2 table 4).
            colour::Reference::Display if encoding.transfer == Transfer::Pq => {
                Reference::Display { peak_nits: 10_000.0, black_nits: 0.0 }
            }
            colour::Reference::Display => Reference::Display { peak_nits: 100.0, black_nits: 0.0 },
        };
        Self { primaries: encoding.primaries.clone(), curve, reference, adaptation: encoding.adaptation }
    }

    /// The light of a display, in nits, that 1.0 of linear numbers stands for: 100 where the curve means nits, else
    /// the peak.
    pub fn unit_nits(&self) -> f64 {
        match (&self.curve.transfer, self.reference) {
            (Transfer::Pq | Transfer::Hlg, _) | (_, Reference::Scene) => 100.0,
            (_, Reference::Display { peak_nits, .. }) => peak_nits,
        }
    }

    /// The same light with linear numbers.
    pub fn linear(&self) -> Self {
        Self { curve: Curve::linear(), ..self.clone() }
    }
}

impl fmt::Display for Signal {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if self.is_unknown() {
            return f.write_str(UNKNOWN);
        }
        write!(f, "{} {}", self.primaries.name, self.curve.name)?;
        match self.reference {
            Reference::Scene => write!(f, ", scene"),
            Reference::Display { peak_nits, black_nits } => write!(f, ", display {peak_nits}/{black_nits} nits"),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_signal_says_what_its_numbers_are() {
        let code = |name, ei| Signal::code(&Encoding::named(name, ei).unwrap()).to_string();
        assert_eq!(code("logc3", Some(1600)), "ARRI Wide Gamut 3 LogC3 EI 1600, scene");
        assert_eq!(code("ACES2065-1", None), "AP0 linear, scene");
        assert_eq!(code("sRGB", None), "BT.709 sRGB, display 100/0 nits");
        // Rec. ITU-R BT.2100-2 table 4: signal 1 is 10000 cd/m2.
        assert_eq!(code("PQ", None), "BT.2020 PQ, display 10000/0 nits");
        assert_eq!(Signal::scene().to_string(), "AP1 linear, scene");
    }

    #[test]
    fn working_spaces_are_the_published_encodings() {
        let code = |name| Signal::code(&Encoding::named(name, None).unwrap());
        assert_eq!(code("ACEScct"), Signal::log());
        assert_eq!(code("ACEScg"), Signal::scene());
        assert_eq!(code("ACEScct").linear(), Signal::scene());
    }

    #[test]
    fn what_is_unknown_is_like_nothing_known() {
        assert_eq!(Signal::unknown().to_string(), "unknown");
        assert!(Signal::unknown().is_unknown() && Signal::unknown() != Signal::scene());
        for id in Encoding::ids() {
            assert!(!Signal::code(&Encoding::named(id, None).unwrap()).is_unknown());
        }
    }
}
