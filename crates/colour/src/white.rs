//! A white as the user writes it: `3200K`, `3200K+0.004duv`, `0.3127,0.3290`, or the name of an illuminant.

use crate::illuminant::{Illuminant, UnknownIlluminant};
use crate::locus::{self, LocusError};
use crate::{Xy, names};
use serde::{Deserialize, Serialize};
use std::fmt;
use std::str::FromStr;
use thiserror::Error;

/// A white.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub enum White {
    /// A Planckian temperature with a distance from the locus.
    Kelvin {
        /// Correlated colour temperature, 1000 to 100000 K.
        kelvin: f64,
        /// Distance from the Planckian locus in CIE 1960 (u, v); plus is greener.
        duv: f64,
    },
    /// A chromaticity.
    Chromaticity(Xy),
    /// A named illuminant.
    Named(&'static Illuminant),
}

/// Why a text is no white.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum WhiteError {
    /// None of the four forms.
    #[error("'{0}' is no white; write 3200K, 3200K+0.004duv, 0.3127,0.3290 or an illuminant such as D65")]
    Form(String),
    /// A number that does not parse.
    #[error("'{number}' in the white '{text}' is no number")]
    Number {
        /// What should be a number.
        number: String,
        /// The whole text.
        text: String,
    },
    /// Out of range, or not a light.
    #[error(transparent)]
    Locus(#[from] LocusError),
    /// No such illuminant.
    #[error(transparent)]
    Illuminant(#[from] UnknownIlluminant),
}

impl White {
    /// A light of a colour temperature and Duv.
    ///
    /// # Errors
    /// Outside 1000 to 100000 K or beyond 0.05 from the locus.
    pub fn from_kelvin(kelvin: f64, duv: f64) -> Result<White, WhiteError> {
        locus::xy_from_cct_duv(kelvin, duv)?;
        Ok(White::Kelvin { kelvin, duv })
    }

    /// A light of a chromaticity.
    ///
    /// # Errors
    /// A chromaticity that is no light.
    pub fn from_xy(xy: Xy) -> Result<White, WhiteError> {
        if xy.is_light() { Ok(White::Chromaticity(xy)) } else { Err(LocusError::NoLight { x: xy.x, y: xy.y }.into()) }
    }

    /// The illuminant of that name.
    ///
    /// # Errors
    /// An unknown name; the near ones are listed.
    pub fn named(name: &str) -> Result<White, WhiteError> {
        Ok(White::Named(Illuminant::find(name)?))
    }

    /// Its chromaticity.
    ///
    /// # Errors
    /// A kelvin or Duv out of range, or a chromaticity that is no light (possible where the value was put together
    /// by hand).
    pub fn xy(&self) -> Result<Xy, WhiteError> {
        match *self {
            White::Kelvin { kelvin, duv } => Ok(locus::xy_from_cct_duv(kelvin, duv)?),
            White::Chromaticity(xy) if xy.is_light() => Ok(xy),
            White::Chromaticity(xy) => Err(LocusError::NoLight { x: xy.x, y: xy.y }.into()),
            White::Named(illuminant) => Ok(illuminant.xy),
        }
    }

    /// Its correlated colour temperature in kelvin and Duv: as given, or measured from the chromaticity.
    ///
    /// # Errors
    /// A white too far from the locus to have them.
    pub fn cct_duv(&self) -> Result<(f64, f64), WhiteError> {
        match *self {
            White::Kelvin { kelvin, duv } => Ok((kelvin, duv)),
            _ => Ok(crate::cct::cct_duv(self.xy()?)?),
        }
    }
}

impl fmt::Display for White {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            White::Kelvin { kelvin, duv } if *duv == 0.0 => write!(f, "{kelvin}K"),
            White::Kelvin { kelvin, duv } => write!(f, "{kelvin}K{duv:+}duv"),
            White::Chromaticity(xy) => write!(f, "{},{}", xy.x, xy.y),
            White::Named(illuminant) => f.write_str(illuminant.name),
        }
    }
}

impl FromStr for White {
    type Err = WhiteError;

    fn from_str(text: &str) -> Result<White, WhiteError> {
        let text = text.trim();
        if names::plain(text).is_empty() {
            return Err(WhiteError::Form(text.to_owned()));
        }
        let number = |part: &str| {
            part.trim()
                .parse::<f64>()
                .map_err(|_| WhiteError::Number { number: part.trim().to_owned(), text: text.to_owned() })
        };
        if let Some((x, y)) = text.split_once(',') {
            return White::from_xy(Xy::new(number(x)?, number(y)?));
        }
        // A name starts with a letter, a temperature with a digit.
        if !text.starts_with(|c: char| c.is_ascii_digit() || c == '.' || c == '-' || c == '+') {
            return White::named(text);
        }
        let Some((kelvin, rest)) = text.split_once(['K', 'k']) else {
            return Err(WhiteError::Form(text.to_owned()));
        };
        let kelvin = number(kelvin)?;
        let rest = rest.trim();
        if rest.is_empty() {
            return White::from_kelvin(kelvin, 0.0);
        }
        let lower = rest.to_ascii_lowercase();
        match lower.strip_suffix("duv") {
            Some(duv) if rest.starts_with(['+', '-']) => White::from_kelvin(kelvin, number(duv)?),
            _ => Err(WhiteError::Form(text.to_owned())),
        }
    }
}

impl TryFrom<String> for White {
    type Error = WhiteError;

    fn try_from(text: String) -> Result<White, WhiteError> {
        text.parse()
    }
}

impl From<White> for String {
    fn from(white: White) -> String {
        white.to_string()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn text_round_trips(kelvin in 2500.0f64..100_000.0, duv in -0.05f64..0.015, x in 0.1f64..0.5, y in 0.1f64..0.5) {
            for white in [
                White::Kelvin { kelvin, duv },
                White::Kelvin { kelvin: (0.4 * kelvin).round(), duv: 0.0 },
                White::Chromaticity(Xy::new(x, y)),
                White::named("FL3.11").unwrap(),
            ] {
                prop_assert_eq!(white.to_string().parse::<White>(), Ok(white));
            }
        }

        #[test]
        fn no_text_panics(text in ".{0,24}") {
            let _ = text.parse::<White>();
        }
    }

    #[test]
    fn every_illuminant_round_trips() {
        for i in Illuminant::ALL {
            assert_eq!(i.name.parse::<White>(), Ok(White::Named(i)));
        }
    }

    #[test]
    fn the_four_forms() {
        let white = |t: &str| t.parse::<White>().unwrap();
        assert_eq!(white("3200K"), White::Kelvin { kelvin: 3200.0, duv: 0.0 });
        assert_eq!(white(" 3200 k -0.002 duv"), White::Kelvin { kelvin: 3200.0, duv: -0.002 });
        assert_eq!(white("3200K+0.004duv").to_string(), "3200K+0.004duv");
        assert_eq!(white("0.3127, 0.3290").xy(), Ok(crate::primaries::D65));
        assert_eq!(white("d65").xy(), Ok(crate::primaries::D65));
    }

    #[test]
    fn errors_say_what_to_write() {
        let error = |t: &str| t.parse::<White>().unwrap_err().to_string();
        assert!(error("3200").contains("3200K+0.004duv"));
        assert!(error("").contains("no white"));
        assert!(error("900K").contains("1000 to 100000"));
        assert!(error("3200K+0.2duv").contains("0.05"));
        assert!(error("D66").contains("D65"));
        assert!(error("0.3,zero").contains("'zero'"));
        assert!(error("0.8,0.4").contains("not the chromaticity"));
        assert!(error("3200K 0.1duv").contains("no white"));
        assert!(error("nanK").contains("illuminant"));
        assert!(error("0.3,nan").contains("not the chromaticity"));
    }
}
