//! The built-in encodings, each from its published document (see the transfers and primaries).

use super::{Encoding, EncodingError, Reference};
use crate::transfer::{Transfer, published};
use crate::{Adaptation, Primaries, names, primaries};

/// Every id, in the order in which they are listed to the user.
pub(super) const IDS: &[&str] = &[
    "ACES2065-1",
    "ACEScg",
    "ACEScc",
    "ACEScct",
    "LogC3",
    "LogC4",
    "S-Log2",
    "S-Log3",
    "S-Log3-Cine",
    "V-Log",
    "C-Log2",
    "C-Log3",
    "F-Log",
    "F-Log2",
    "N-Log",
    "D-Log",
    "Apple-Log",
    "Printing-Density",
    "Linear-BT.709",
    "Linear-BT.2020",
    "Linear-P3-D65",
    "BT.709",
    "sRGB",
    "Gamma2.2",
    "BT.1886",
    "P3-D65",
    "Display-P3",
    "BT.2020",
    "PQ",
    "HLG",
];

/// The exposure index of LogC3 when none is given: the camera's base.
const LOG_C3_BASE: u32 = 800;

pub(super) fn find(name: &str, exposure_index: Option<u32>) -> Result<Encoding, EncodingError> {
    let unknown = || EncodingError::Unknown { name: name.to_owned(), near: names::near(name, IDS.iter().copied()) };
    let id = *IDS.iter().find(|id| names::same(id, name)).ok_or_else(unknown)?;
    if id == "LogC3" {
        return log_c3(exposure_index.unwrap_or(LOG_C3_BASE));
    }
    if exposure_index.is_some() {
        return Err(EncodingError::NoExposureIndex { name: id.to_owned() });
    }
    camera(id).or_else(|| video(id)).ok_or_else(unknown)
}

fn log_c3(exposure_index: u32) -> Result<Encoding, EncodingError> {
    let curve = published::log_c3(exposure_index).ok_or_else(|| EncodingError::ExposureIndex {
        name: "LogC3".to_owned(),
        exposure_index,
        known: published::LOG_C3.map(|(ei, _)| ei.to_string()).join(", "),
    })?;
    Ok(Encoding {
        exposure_index: Some(exposure_index),
        ..encoding("LogC3", primaries::ARRI_WIDE_GAMUT_3, Transfer::Log(curve), Reference::Scene, Adaptation::Cat02)
    })
}

fn encoding(
    name: &str,
    primaries: Primaries,
    transfer: Transfer,
    reference: Reference,
    adaptation: Adaptation,
) -> Encoding {
    Encoding { name: name.to_owned(), primaries, transfer, reference, adaptation, exposure_index: None }
}

/// Scene encodings of cameras, film scans and ACES. The adaptation is the one of the maker's official transform
/// (CAT02 for ARRI, Sony and Canon, Bradford for Panasonic and Apple), CAT02 where none is published.
fn camera(id: &str) -> Option<Encoding> {
    use Adaptation::{Bradford, Cat02};
    let (primaries, transfer, adaptation) = match id {
        "ACES2065-1" => (primaries::AP0, Transfer::Linear, Bradford),
        "ACEScg" => (primaries::AP1, Transfer::Linear, Bradford),
        "ACEScc" => (primaries::AP1, Transfer::AcesCc, Bradford),
        "ACEScct" => (primaries::AP1, Transfer::Log(published::ACES_CCT), Bradford),
        "LogC4" => (primaries::ARRI_WIDE_GAMUT_4, Transfer::Log(published::log_c4()), Cat02),
        "S-Log2" => (primaries::S_GAMUT, Transfer::Log(published::S_LOG2), Cat02),
        "S-Log3" => (primaries::S_GAMUT3, Transfer::Log(published::S_LOG3), Cat02),
        "S-Log3-Cine" => (primaries::S_GAMUT3_CINE, Transfer::Log(published::S_LOG3), Cat02),
        "V-Log" => (primaries::V_GAMUT, Transfer::Log(published::V_LOG), Bradford),
        "C-Log2" => (primaries::CINEMA_GAMUT, Transfer::CanonLog2, Cat02),
        "C-Log3" => (primaries::CINEMA_GAMUT, Transfer::CanonLog3, Cat02),
        "F-Log" => (primaries::F_GAMUT, Transfer::Log(published::F_LOG), Cat02),
        "F-Log2" => (primaries::F_GAMUT, Transfer::Log(published::F_LOG2), Cat02),
        "N-Log" => (primaries::N_GAMUT, Transfer::NLog, Cat02),
        "D-Log" => (primaries::D_GAMUT, Transfer::Log(published::D_LOG), Cat02),
        "Apple-Log" => (primaries::BT2020, Transfer::AppleLog, Bradford),
        // Printing density carries no colorimetry; a scan is read as if on BT.709 primaries.
        "Printing-Density" => (primaries::BT709, Transfer::Density, Bradford),
        _ => return None,
    };
    Some(encoding(id, primaries, transfer, Reference::Scene, adaptation))
}

/// Linear light and video on television and cinema primaries; the Academy's own conversions of these use Bradford.
fn video(id: &str) -> Option<Encoding> {
    use Reference::{Display, Scene};
    let gamma = |exponent| Transfer::Gamma { exponent };
    let (primaries, transfer, reference) = match id {
        "Linear-BT.709" => (primaries::BT709, Transfer::Linear, Scene),
        "Linear-BT.2020" => (primaries::BT2020, Transfer::Linear, Scene),
        "Linear-P3-D65" => (primaries::P3_D65, Transfer::Linear, Scene),
        "BT.709" => (primaries::BT709, Transfer::Bt709Camera, Scene),
        "sRGB" => (primaries::BT709, Transfer::Srgb, Display),
        "Gamma2.2" => (primaries::BT709, gamma(2.2), Display),
        "BT.1886" => (primaries::BT709, gamma(2.4), Display),
        "P3-D65" => (primaries::P3_D65, gamma(2.6), Display),
        "Display-P3" => (primaries::P3_D65, Transfer::Srgb, Display),
        "BT.2020" => (primaries::BT2020, gamma(2.4), Display),
        "PQ" => (primaries::BT2020, Transfer::Pq, Display),
        "HLG" => (primaries::BT2020, Transfer::Hlg, Scene),
        _ => return None,
    };
    Some(encoding(id, primaries, transfer, reference, Adaptation::Bradford))
}
