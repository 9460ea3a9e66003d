//! The transfer and colorimetric bytes, and what reference codes stand for.
//!
//! # Source
//! SMPTE ST 268-1, transfer characteristic and colorimetric specification; code 13 of its later editions for
//! SMPTE ST 2065-3.

use frame::Range;

/// What the two bytes hold, the standard's codes 0 to 13.
const USER_DEFINED: u8 = 0;
const PRINTING_DENSITY: u8 = 1;
const LINEAR: u8 = 2;
const LOGARITHMIC: u8 = 3;
const UNSPECIFIED_VIDEO: u8 = 4;
const ST_274: u8 = 5;
const BT_709: u8 = 6;

/// Printing density of a step of a 10-bit code.
///
/// # Source
/// Common practice of film scanners, no source: 0.002 of density a code.
const DENSITY_PER_CODE: f64 = 0.002;

/// Transfer and colorimetric byte for an encoding's id: user defined where the standard has no code. A
/// display's code for BT.709 primaries is BT.709 in both.
pub(super) fn of_encoding(id: &str) -> (u8, u8) {
    match id {
        "Printing-Density" => (PRINTING_DENSITY, PRINTING_DENSITY),
        "BT.709" | "BT.1886" => (BT_709, BT_709),
        "Linear-BT.709" => (LINEAR, BT_709),
        "sRGB" | "Gamma2.2" => (USER_DEFINED, BT_709),
        "ACES2065-1" | "ACEScg" | "Linear-BT.2020" | "Linear-P3-D65" => (LINEAR, USER_DEFINED),
        "ACEScc" | "ACEScct" | "LogC3" | "LogC4" | "S-Log2" | "S-Log3" | "S-Log3-Cine" | "V-Log" | "C-Log2"
        | "C-Log3" | "F-Log" | "F-Log2" | "N-Log" | "D-Log" | "Apple-Log" => (LOGARITHMIC, USER_DEFINED),
        _ => (USER_DEFINED, USER_DEFINED),
    }
}

/// What the low and the high reference code of a frame stand for: density, or the share of the reference light;
/// `None` where the transfer names no quantity that both ends have.
pub(super) fn quantities(transfer: u8, range: Range) -> Option<(f32, f32)> {
    match (transfer, range) {
        (PRINTING_DENSITY, Range::Full) => Some((0.0, density(1023))),
        (PRINTING_DENSITY, Range::Legal) => Some((density(64), density(940))),
        (LINEAR, _) => Some((0.0, 1.0)),
        _ => None,
    }
}

/// Printing density of a 10-bit code.
fn density(code: u32) -> f32 {
    (f64::from(code) * DENSITY_PER_CODE) as f32
}

/// The two bytes in words; `None` where they say nothing.
pub(super) fn in_words([transfer, colorimetric]: [Option<u8>; 2]) -> Option<String> {
    let tells = |name: &str, byte: Option<u8>| {
        let byte = byte.filter(|&byte| byte != USER_DEFINED)?;
        Some(format!("{name} {} ({byte})", name_of(byte)))
    };
    let parts = [tells("transfer", transfer), tells("colorimetry", colorimetric)];
    let parts: Vec<String> = parts.into_iter().flatten().collect();
    (!parts.is_empty()).then(|| parts.join(", "))
}

/// Which of the two bytes say something else than an encoding's id, in words. A byte that is user defined, or names
/// no more than video, contradicts nothing; that of HDTV production is BT.709 by its older name.
pub(crate) fn contradiction([transfer, colorimetric]: [Option<u8>; 2], id: &str) -> Option<String> {
    let wanted = of_encoding(id);
    let other = |byte: Option<u8>, wanted: u8| {
        let agrees = |byte: u8| {
            byte == wanted || byte == USER_DEFINED || byte == UNSPECIFIED_VIDEO || (byte, wanted) == (ST_274, BT_709)
        };
        byte.filter(|byte| !agrees(*byte))
    };
    in_words([other(transfer, wanted.0), other(colorimetric, wanted.1)])
}

fn name_of(byte: u8) -> &'static str {
    match byte {
        PRINTING_DENSITY => "printing density",
        LINEAR => "linear",
        LOGARITHMIC => "logarithmic",
        UNSPECIFIED_VIDEO => "unspecified video",
        ST_274 => "SMPTE ST 274",
        BT_709 => "BT.709",
        7 => "BT.601 with 625 lines",
        8 => "BT.601 with 525 lines",
        9 => "composite video (NTSC)",
        10 => "composite video (PAL)",
        11 => "linear depth",
        12 => "homogeneous depth",
        13 => "ADX density (SMPTE ST 2065-3)",
        _ => "unknown",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_what_says_something_else_contradicts() {
        let told = |bytes: [u8; 2], id| contradiction(bytes.map(Some), id);
        for (bytes, id) in
            [([6, 6], "BT.1886"), ([5, 4], "BT.1886"), ([0, 6], "sRGB"), ([4, 0], "PQ"), ([3, 0], "LogC3")]
        {
            assert_eq!(told(bytes, id), None, "{bytes:?} {id}");
        }
        assert_eq!(contradiction([None, None], "PQ"), None);
        assert_eq!(told([3, 6], "BT.1886").as_deref(), Some("transfer logarithmic (3)"));
        assert_eq!(told([6, 6], "PQ").as_deref(), Some("transfer BT.709 (6), colorimetry BT.709 (6)"));
    }
}
