//! Named white points.
//!
//! # Source
//! CIE 15:2018 for the 2 degree observer: A, B, C, D50 to D75, E, FL, HP, LED and indoor daylight series.
//! The ACES white: SMPTE ST 2065-1:2021. ICC D50: ICC.1:2022, profile connection space. DCI: SMPTE RP 431-2.
//! D93 is not tabulated: the CIE daylight formula at 9300 x 1.4388 / 1.4380 K.

use crate::{Xy, names};
use thiserror::Error;

/// A named white point.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Illuminant {
    /// The name that is shown.
    pub name: &'static str,
    /// Its chromaticity.
    pub xy: Xy,
}

/// No white point of that name.
#[derive(Debug, Clone, PartialEq, Error)]
#[error("unknown illuminant '{name}'; near names: {near}; a white may also be 3200K, 3200K+0.004duv or x,y")]
pub struct UnknownIlluminant {
    /// The name that was asked for.
    pub name: String,
    /// Known names near it.
    pub near: String,
}

impl Illuminant {
    /// Every named white point.
    pub const ALL: &'static [Illuminant] = KNOWN;

    /// The chromaticity of the white point of that name; case and punctuation do not matter.
    ///
    /// # Errors
    /// An unknown name; the near ones are listed.
    pub fn named(name: &str) -> Result<Xy, UnknownIlluminant> {
        Illuminant::find(name).map(|i| i.xy)
    }

    /// The white point of that name; case and punctuation do not matter.
    ///
    /// # Errors
    /// An unknown name; the near ones are listed.
    pub fn find(name: &str) -> Result<&'static Illuminant, UnknownIlluminant> {
        KNOWN.iter().find(|i| names::same(i.name, name)).ok_or_else(|| UnknownIlluminant {
            name: name.to_owned(),
            near: names::near(name, KNOWN.iter().map(|i| i.name)),
        })
    }
}

const fn known(name: &'static str, x: f64, y: f64) -> Illuminant {
    Illuminant { name, xy: Xy::new(x, y) }
}

#[rustfmt::skip]
const KNOWN: &[Illuminant] = &[
    known("A", 0.44758, 0.40745),
    known("B", 0.34842, 0.35161),
    known("C", 0.31006, 0.31616),
    known("D50", 0.3457, 0.3585),
    known("D55", 0.33243, 0.34744),
    known("D60", 0.321616709705268, 0.337619916550817),
    known("D65", 0.3127, 0.329),
    known("D75", 0.29903, 0.31488),
    known("D93", 0.2831099241021812, 0.29707179479783175),
    known("E", 1.0 / 3.0, 1.0 / 3.0),
    known("ACES", 0.32168, 0.33767),
    known("ICC D50", 0.345702914918791, 0.358538596679933),
    known("DCI", 0.314, 0.351),
    known("FL1", 0.3131, 0.3371),
    known("FL2", 0.3721, 0.3751),
    known("FL3", 0.4091, 0.3941),
    known("FL4", 0.4402, 0.4031),
    known("FL5", 0.3138, 0.3452),
    known("FL6", 0.3779, 0.3882),
    known("FL7", 0.3129, 0.3292),
    known("FL8", 0.3458, 0.3586),
    known("FL9", 0.3741, 0.3727),
    known("FL10", 0.3458, 0.3588),
    known("FL11", 0.3805, 0.3769),
    known("FL12", 0.437, 0.4042),
    known("FL3.1", 0.4407, 0.4033),
    known("FL3.2", 0.3808, 0.3734),
    known("FL3.3", 0.3153, 0.3439),
    known("FL3.4", 0.4429, 0.4043),
    known("FL3.5", 0.3749, 0.3672),
    known("FL3.6", 0.3488, 0.36),
    known("FL3.7", 0.4384, 0.4045),
    known("FL3.8", 0.382, 0.3832),
    known("FL3.9", 0.3499, 0.3591),
    known("FL3.10", 0.3455, 0.356),
    known("FL3.11", 0.3245, 0.3434),
    known("FL3.12", 0.4377, 0.4037),
    known("FL3.13", 0.383, 0.3724),
    known("FL3.14", 0.3447, 0.3609),
    known("FL3.15", 0.3127, 0.3288),
    known("HP1", 0.533, 0.415),
    known("HP2", 0.4778, 0.4158),
    known("HP3", 0.4302, 0.4075),
    known("HP4", 0.3812, 0.3797),
    known("HP5", 0.3776, 0.3713),
    known("LED-B1", 0.456, 0.4078),
    known("LED-B2", 0.4357, 0.4012),
    known("LED-B3", 0.3756, 0.3723),
    known("LED-B4", 0.3422, 0.3502),
    known("LED-B5", 0.3118, 0.3236),
    known("LED-BH1", 0.4474, 0.4066),
    known("LED-RGB1", 0.4557, 0.4211),
    known("LED-V1", 0.4548, 0.4044),
    known("LED-V2", 0.3781, 0.3775),
    known("ID50", 0.343211370103531, 0.360207541805137),
    known("ID65", 0.31065662540312, 0.330663091836953),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_found_and_unique() {
        for i in Illuminant::ALL {
            assert_eq!(Illuminant::named(&i.name.to_lowercase()), Ok(i.xy), "{}", i.name);
        }
        let miss = Illuminant::named("D56").unwrap_err().to_string();
        assert!(miss.contains("D55"), "{miss}");
    }
}
