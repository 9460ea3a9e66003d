//! RGB primaries with their white, and the matrices between them.

use crate::{Adaptation, Matrix, Xy, names};
use std::borrow::Cow;
use thiserror::Error;

/// The white of BT.709, BT.2020 and every camera space here.
///
/// # Source
/// Rec. ITU-R BT.709-6, item 1.4; CIE 15:2018 rounded to four digits.
pub const D65: Xy = Xy::new(0.3127, 0.3290);

/// The ACES white, often called D60 though it is not CIE D60.
///
/// # Source
/// SMPTE ST 2065-1:2021.
pub const ACES_WHITE: Xy = Xy::new(0.32168, 0.33767);

/// A set of RGB primaries and the chromaticity of equal RGB.
#[derive(Debug, Clone, PartialEq)]
pub struct Primaries {
    /// The name that is shown.
    pub name: Cow<'static, str>,
    /// Chromaticity of red alone.
    pub red: Xy,
    /// Chromaticity of green alone.
    pub green: Xy,
    /// Chromaticity of blue alone.
    pub blue: Xy,
    /// Chromaticity of equal red, green and blue.
    pub white: Xy,
}

/// Why a set of chromaticities is not a set of primaries.
#[derive(Debug, Clone, PartialEq, Error)]
pub enum PrimariesError {
    /// Red, green and blue lie on a line.
    #[error("primaries '{0}': red, green and blue lie on one line; give three that span a triangle")]
    Degenerate(String),
    /// The white cannot be mixed from the primaries, or is no light.
    #[error("primaries '{0}': the white must be a light (y above 0) that is none of the primaries' own sides")]
    White(String),
}

const fn known(name: &'static str, r: [f64; 2], g: [f64; 2], b: [f64; 2], white: Xy) -> Primaries {
    Primaries {
        name: Cow::Borrowed(name),
        red: Xy::new(r[0], r[1]),
        green: Xy::new(g[0], g[1]),
        blue: Xy::new(b[0], b[1]),
        white,
    }
}

/// ACES2065-1. Source: SMPTE ST 2065-1:2021.
pub const AP0: Primaries = known("AP0", [0.7347, 0.2653], [0.0, 1.0], [0.0001, -0.077], ACES_WHITE);
/// ACEScg, ACEScc, ACEScct. Source: Academy S-2014-004.
pub const AP1: Primaries = known("AP1", [0.713, 0.293], [0.165, 0.830], [0.128, 0.044], ACES_WHITE);
/// HDTV and sRGB. Source: Rec. ITU-R BT.709-6, item 1.3.
pub const BT709: Primaries = known("BT.709", [0.640, 0.330], [0.300, 0.600], [0.150, 0.060], D65);
/// UHDTV and HDR television. Source: Rec. ITU-R BT.2020-2; BT.2100-2 table 2.
pub const BT2020: Primaries = known("BT.2020", [0.708, 0.292], [0.170, 0.797], [0.131, 0.046], D65);
/// Cinema primaries on D65. Source: SMPTE RP 431-2 (primaries), EG 432-1 (white).
pub const P3_D65: Primaries = known("P3-D65", [0.680, 0.320], [0.265, 0.690], [0.150, 0.060], D65);
/// Source: ARRI, ALEXA Log C Curve - Usage in VFX, 2012.
pub const ARRI_WIDE_GAMUT_3: Primaries =
    known("ARRI Wide Gamut 3", [0.684, 0.313], [0.221, 0.848], [0.0861, -0.102], D65);
/// Source: ARRI LogC4 Logarithmic Color Space Specification, 2022.
pub const ARRI_WIDE_GAMUT_4: Primaries =
    known("ARRI Wide Gamut 4", [0.7347, 0.2653], [0.1424, 0.8576], [0.0991, -0.0308], D65);
/// The gamut that S-Log2 was published with. Source: Sony S-Log2 Technical Paper, 2012.
pub const S_GAMUT: Primaries = known("S-Gamut", [0.730, 0.280], [0.140, 0.855], [0.100, -0.050], D65);
/// Source: Sony, Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3.
pub const S_GAMUT3: Primaries = known("S-Gamut3", [0.730, 0.280], [0.140, 0.855], [0.100, -0.050], D65);
/// Source: Sony, Technical Summary for S-Gamut3.Cine/S-Log3 and S-Gamut3/S-Log3.
pub const S_GAMUT3_CINE: Primaries = known("S-Gamut3.Cine", [0.766, 0.275], [0.225, 0.800], [0.089, -0.087], D65);
/// Source: Panasonic, VARICAM V-Log/V-Gamut, 2014.
pub const V_GAMUT: Primaries = known("V-Gamut", [0.730, 0.280], [0.165, 0.840], [0.100, -0.030], D65);
/// Source: Canon Cinema Gamut white paper; input transform 201612.
pub const CINEMA_GAMUT: Primaries = known("Cinema Gamut", [0.740, 0.270], [0.170, 1.140], [0.080, -0.100], D65);
/// BT.2020 primaries by another name. Source: Fujifilm F-Log Data Sheet 1.1.
pub const F_GAMUT: Primaries = known("F-Gamut", [0.708, 0.292], [0.170, 0.797], [0.131, 0.046], D65);
/// BT.2020 primaries by another name. Source: Nikon N-Log Specification Document, 2018.
pub const N_GAMUT: Primaries = known("N-Gamut", [0.708, 0.292], [0.170, 0.797], [0.131, 0.046], D65);
/// Source: DJI, White Paper on D-Log and D-Gamut, 2017.
pub const D_GAMUT: Primaries = known("D-Gamut", [0.71, 0.31], [0.21, 0.88], [0.09, -0.08], D65);

const KNOWN: [Primaries; 15] = [
    AP0,
    AP1,
    BT709,
    BT2020,
    P3_D65,
    ARRI_WIDE_GAMUT_3,
    ARRI_WIDE_GAMUT_4,
    S_GAMUT,
    S_GAMUT3,
    S_GAMUT3_CINE,
    V_GAMUT,
    CINEMA_GAMUT,
    F_GAMUT,
    N_GAMUT,
    D_GAMUT,
];

impl Primaries {
    /// Primaries from chromaticities.
    ///
    /// # Errors
    /// Refuses three primaries on a line and a white that no positive or negative mixture reaches.
    pub fn new(
        name: impl Into<Cow<'static, str>>,
        red: Xy,
        green: Xy,
        blue: Xy,
        white: Xy,
    ) -> Result<Primaries, PrimariesError> {
        let p = Primaries { name: name.into(), red, green, blue, white };
        let (Some(inverse), true) = (p.columns().inverse(), p.coordinates_are_finite()) else {
            return Err(PrimariesError::Degenerate(p.name.into_owned()));
        };
        let mixture = inverse.apply(white.to_xyz());
        if !white.is_light() || mixture.iter().any(|s| !s.is_finite() || s.abs() < 1e-9) {
            return Err(PrimariesError::White(p.name.into_owned()));
        }
        Ok(p)
    }

    /// The primaries of that name; case and punctuation do not matter.
    pub fn named(name: &str) -> Option<Primaries> {
        KNOWN.into_iter().find(|p| names::same(&p.name, name))
    }

    /// The known primaries whose red, green, blue and white, x and y each, are these within `tolerance`; the first where
    /// several have the same.
    pub fn with_chromaticities(wanted: [[f64; 2]; 4], tolerance: f64) -> Option<Primaries> {
        KNOWN.into_iter().find(|known| {
            let own = [known.red, known.green, known.blue, known.white];
            own.iter().zip(wanted).all(|(xy, [x, y])| (xy.x - x).abs() <= tolerance && (xy.y - y).abs() <= tolerance)
        })
    }

    /// The names that [`Primaries::named`] knows.
    pub fn names() -> &'static [&'static str] {
        &[
            "AP0",
            "AP1",
            "BT.709",
            "BT.2020",
            "P3-D65",
            "ARRI Wide Gamut 3",
            "ARRI Wide Gamut 4",
            "S-Gamut",
            "S-Gamut3",
            "S-Gamut3.Cine",
            "V-Gamut",
            "Cinema Gamut",
            "F-Gamut",
            "N-Gamut",
            "D-Gamut",
        ]
    }

    /// The normalised primary matrix: linear RGB to XYZ with Y = 1 at equal RGB = 1.
    /// Total for primaries from this module or from [`Primaries::new`].
    ///
    /// # Source
    /// SMPTE RP 177-1993, 3.3.
    pub fn xyz_from_rgb(&self) -> Matrix {
        let columns = self.columns();
        // `new` refuses what has no inverse; fields put together by hand to be degenerate get a plain diagonal.
        let amounts = columns.inverse().map_or([1.0; 3], |inverse| inverse.apply(self.white.to_xyz()));
        columns * Matrix::diagonal(amounts)
    }

    /// XYZ to linear RGB: the inverse of [`Primaries::xyz_from_rgb`].
    pub fn rgb_from_xyz(&self) -> Matrix {
        self.xyz_from_rgb().inverse().unwrap_or(Matrix::IDENTITY)
    }

    /// The share of each channel in luminance Y: the middle row of the primary matrix; it sums to 1.
    pub fn luminance_weights(&self) -> [f64; 3] {
        self.xyz_from_rgb().0[1]
    }

    /// Linear RGB on `from` to linear RGB on `to`, its white adapted by `adaptation`.
    /// Equal primaries give exactly the identity.
    pub fn rgb_from_rgb(to: &Primaries, from: &Primaries, adaptation: Adaptation) -> Matrix {
        if to.same_chromaticities(from) {
            return Matrix::IDENTITY;
        }
        to.rgb_from_xyz() * adaptation.matrix(from.white, to.white) * from.xyz_from_rgb()
    }

    /// Whether the two are the same but for their names.
    pub fn same_chromaticities(&self, other: &Primaries) -> bool {
        (self.red, self.green, self.blue, self.white) == (other.red, other.green, other.blue, other.white)
    }

    fn columns(&self) -> Matrix {
        let column = |p: Xy| [p.x, p.y, 1.0 - p.x - p.y];
        Matrix::from_columns(column(self.red), column(self.green), column(self.blue))
    }

    fn coordinates_are_finite(&self) -> bool {
        [self.red, self.green, self.blue].iter().all(|p| p.x.is_finite() && p.y.is_finite())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_find_their_primaries() {
        assert_eq!(Primaries::names().len(), KNOWN.len());
        for (name, p) in Primaries::names().iter().zip(KNOWN) {
            assert_eq!(*name, p.name);
            assert_eq!(Primaries::named(&name.to_lowercase()), Some(p.clone()));
            let again = Primaries::new(p.name.clone(), p.red, p.green, p.blue, p.white);
            assert_eq!(again, Ok(p));
        }
    }

    #[test]
    fn equal_primaries_are_the_identity_bit_for_bit() {
        for p in KNOWN {
            assert_eq!(Primaries::rgb_from_rgb(&p, &p, Adaptation::Cat02), Matrix::IDENTITY);
        }
        assert_eq!(Primaries::rgb_from_rgb(&BT2020, &F_GAMUT, Adaptation::Cat16), Matrix::IDENTITY);
    }

    #[test]
    fn degenerate_primaries_are_refused() {
        let on_a_line = Primaries::new("line", Xy::new(0.1, 0.1), Xy::new(0.2, 0.2), Xy::new(0.3, 0.3), D65);
        assert!(matches!(on_a_line, Err(PrimariesError::Degenerate(_))));
        let no_light = Primaries::new("dark", BT709.red, BT709.green, BT709.blue, Xy::new(0.3, 0.0));
        assert!(matches!(no_light, Err(PrimariesError::White(_))));
        let own_side = Primaries::new("red", BT709.red, BT709.green, BT709.blue, BT709.red);
        assert!(matches!(own_side, Err(PrimariesError::White(_))));
    }

    #[test]
    fn white_is_equal_rgb() {
        for p in KNOWN {
            for (got, want) in p.xyz_from_rgb().apply([1.0; 3]).iter().zip(p.white.to_xyz()) {
                assert!((got - want).abs() < 1e-14, "{}", p.name); // a few ulp of the sum
            }
        }
    }
}
