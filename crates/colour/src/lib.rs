//! Colour science alone, in f64: primaries, transfers, adaptation, loci, colour difference. No I/O.
//!
//! Conversions are named target first (`linear_from_code`, `xyz_from_rgb`). Matrices are row-major and act on
//! column vectors. Scene light is reflectance (0.18 is the grey card); a code value is a signal, `code / 1023`
//! for a 10-bit file, so that every bit depth means the same number.

pub mod aces2;
pub mod adaptation;
pub mod bt2446;
pub mod cct;
mod chromaticity;
pub mod difference;
pub mod eetf;
pub mod encoding;
pub mod hlg_ootf;
pub mod illuminant;
pub mod locus;
pub mod lut;
mod matrix;
pub mod names;
pub mod primaries;
pub mod range;
pub mod transfer;
pub mod uniform;
pub mod white;

pub use adaptation::Adaptation;
pub use chromaticity::Xy;
pub use encoding::{Encoding, EncodingError, Reference};
pub use illuminant::Illuminant;
pub use lut::Lut;
pub use matrix::{Affine, Matrix};
pub use primaries::{Primaries, PrimariesError};
pub use range::CodeRange;
pub use transfer::{Form, LogCurve, LogSegments, TableCurve, Transfer};
pub use white::{White, WhiteError};
