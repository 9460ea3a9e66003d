//! Transfer functions: between a code value (a signal, code / 1023) and linear light.
//!
//! Each curve comes in two forms. [`Form::Published`] is the text: decoder and encoder as printed, each with its
//! own rounded constants, breaks and clamps. [`Form::Exact`] is what an inserted conversion uses: the published
//! decoder continued monotone over the whole real line, and its own exact inverse. Some published pairs part at
//! their break by up to 3e-4, so only the exact pair may be cancelled.
//!
//! A decoder may step at its break. Where it steps *up*, no code gives the light in between: encoding that light
//! exactly gives the code of the break ([`Transfer::gap_in_linear`]). Where it steps *down*, some light has two
//! codes: encoding takes the upper part wherever it reaches ([`Transfer::overlap_in_code`]).

pub mod aces;
pub mod apple_log;
pub mod bt709;
pub mod canon;
pub mod density;
pub mod gamma;
pub mod hlg;
pub mod log;
pub mod n_log;
mod pieces;
pub mod pq;
pub mod published;
pub mod srgb;
mod table;

pub use log::{LogCurve, LogSegments};
pub use table::{TableCurve, TableError};

use std::sync::Arc;

/// 2^99. No decoder returns light beyond this, on either side of 0: an antilog leaves the range of floats long before
/// a code of 65504 does, and no executor may meet an infinity. It is far above anything a picture holds and fits
/// single floats with room for a matrix.
pub const LARGEST_LIGHT: f64 = 633_825_300_114_114_700_748_351_602_688.0;

/// Which reading of a published curve.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub enum Form {
    /// Decoder and encoder exactly as printed, clamps included.
    Published,
    /// The published decoder, monotone and unclamped over the real line, and its exact inverse.
    Exact,
}

/// A transfer function.
#[derive(Clone, PartialEq, Debug)]
pub enum Transfer {
    /// Code is light.
    Linear,
    /// A logarithm above a straight line: LogC3, LogC4, S-Log2, S-Log3, V-Log, F-Log, F-Log2, D-Log, ACEScct,
    /// and the encoding files.
    Log(LogCurve),
    /// ACEScc.
    AcesCc,
    /// Canon Log 2, version 1.2, on reflectance / 0.9.
    CanonLog2,
    /// Canon Log 3, version 1.2, on reflectance / 0.9.
    CanonLog3,
    /// N-Log.
    NLog,
    /// Apple Log.
    AppleLog,
    /// Printing density of 10-bit film scans, 0.002 density a code.
    Density,
    /// A pure power, mirrored about 0.
    Gamma {
        /// Light = code ^ exponent.
        exponent: f64,
    },
    /// The curve of IEC 61966-2-1.
    Srgb,
    /// The camera curve of BT.709.
    Bt709Camera,
    /// BT.1886 between a peak and a black. Linear 0 is black and 1 is peak:
    /// light in nits = black + x (peak - black).
    Bt1886 {
        /// Luminance of white in nits; above `black_nits`.
        peak_nits: f64,
        /// Luminance of black in nits; 0 or more.
        black_nits: f64,
    },
    /// Perceptual quantiser. Linear 1.0 is 100 nits.
    Pq,
    /// Hybrid log-gamma, the camera curve: linear is scene light, 0..1.
    Hlg,
    /// A table from an encoding file.
    Table(Arc<TableCurve>),
}

impl Transfer {
    /// The light of a code value. Finite for every finite code.
    pub fn decode(&self, form: Form, code: f64) -> f64 {
        match self {
            Transfer::Linear => code,
            Transfer::Log(curve) => curve.linear_from_code(code),
            Transfer::AcesCc => aces::linear_from_cc(form, code),
            Transfer::CanonLog2 => canon::linear_from_log2(code),
            Transfer::CanonLog3 => canon::linear_from_log3(code),
            Transfer::NLog => n_log::linear_from_code(code),
            Transfer::AppleLog => apple_log::linear_from_code(form, code),
            Transfer::Density => density::linear_from_code(code),
            Transfer::Gamma { exponent } => gamma::linear_from_code(*exponent, code),
            Transfer::Srgb => srgb::linear_from_code(code),
            Transfer::Bt709Camera => bt709::linear_from_code(code),
            Transfer::Bt1886 { peak_nits, black_nits } => {
                gamma::Bt1886::new(*peak_nits, *black_nits).linear_from_code(form, code)
            }
            Transfer::Pq => pq::linear_from_code(code),
            Transfer::Hlg => hlg::linear_from_code(code),
            Transfer::Table(table) => table.linear_from_code(code),
        }
    }

    /// The code value of light. Finite for every finite light.
    pub fn encode(&self, form: Form, linear: f64) -> f64 {
        match self {
            Transfer::Linear => linear,
            Transfer::Log(curve) => curve.code_from_linear(form, linear),
            Transfer::AcesCc => aces::cc_from_linear(form, linear),
            Transfer::CanonLog2 => canon::log2_from_linear(linear),
            Transfer::CanonLog3 => canon::log3_from_linear(form, linear),
            Transfer::NLog => n_log::code_from_linear(form, linear),
            Transfer::AppleLog => apple_log::code_from_linear(form, linear),
            Transfer::Density => density::code_from_linear(linear),
            Transfer::Gamma { exponent } => gamma::code_from_linear(*exponent, linear),
            Transfer::Srgb => srgb::code_from_linear(form, linear),
            Transfer::Bt709Camera => bt709::code_from_linear(form, linear),
            Transfer::Bt1886 { peak_nits, black_nits } => {
                gamma::Bt1886::new(*peak_nits, *black_nits).code_from_linear(form, linear)
            }
            Transfer::Pq => pq::code_from_linear(linear),
            Transfer::Hlg => hlg::code_from_linear(form, linear),
            Transfer::Table(table) => table.code_from_linear(linear),
        }
    }

    /// Width in code of the stretch where the published decoder is not injective because it steps down (or stays
    /// flat): decoding a code there and encoding it exactly returns another code, at most this far away. 0 where
    /// every code has its own light.
    pub fn overlap_in_code(&self) -> f64 {
        match self {
            Transfer::Log(curve) => curve.joint().overlap(curve.code_below(), curve.code_above()),
            Transfer::CanonLog3 => canon::log3_overlap(),
            Transfer::NLog => n_log::overlap(),
            Transfer::AppleLog => apple_log::overlap(),
            Transfer::Srgb => srgb::overlap(),
            Transfer::Bt709Camera => bt709::overlap(),
            Transfer::Hlg => hlg::overlap(),
            Transfer::Pq => pq::overlap(),
            _ => 0.0,
        }
    }

    /// Width in linear light of the stretch that no code reaches because the published decoder steps up: encoding
    /// light there exactly and decoding it returns other light, at most this far away. 0 where there is none.
    pub fn gap_in_linear(&self) -> f64 {
        match self {
            Transfer::Log(curve) => curve.joint().gap(),
            Transfer::CanonLog3 => canon::log3_gap(),
            Transfer::NLog => n_log::JOINT.gap(),
            Transfer::AppleLog => apple_log::gap(),
            Transfer::Srgb => srgb::joint().gap(),
            Transfer::Bt709Camera => bt709::joint().gap(),
            Transfer::Hlg => hlg::joint().gap(),
            _ => 0.0,
        }
    }

    /// Code per stop that the logarithmic part tends to; `None` where there is no such part.
    pub fn code_per_stop(&self) -> Option<f64> {
        match self {
            Transfer::Log(curve) => Some(curve.encoder.code_per_stop()),
            Transfer::AcesCc => Some(1.0 / aces::STOPS_PER_CODE),
            Transfer::CanonLog2 => Some(canon::LOG2_SLOPE * std::f64::consts::LOG10_2),
            Transfer::CanonLog3 => Some(canon::LOG3_SLOPE * std::f64::consts::LOG10_2),
            Transfer::NLog => Some(n_log::C * std::f64::consts::LN_2),
            Transfer::AppleLog => Some(apple_log::GAMMA),
            Transfer::Density => Some(density::CODES_PER_DECADE / 1023.0 * std::f64::consts::LOG10_2),
            Transfer::Hlg => Some(hlg::A * std::f64::consts::LN_2),
            _ => None,
        }
    }
}

/// f on the positive half, mirrored about 0.
fn odd(x: f64, f: impl Fn(f64) -> f64) -> f64 {
    f(x.abs()).copysign(x)
}

/// base ^ exponent; may overflow, so that what is made of it is held below [`LARGEST_LIGHT`] by the curve that
/// asks. (Held here, each curve's scale would give it another largest light.)
fn antilog(base: f64, exponent: f64) -> f64 {
    if base == 10.0 {
        10f64.powf(exponent)
    } else if base == 2.0 {
        exponent.exp2()
    } else {
        base.powf(exponent)
    }
}

/// log to any base.
fn log_to(base: f64, x: f64) -> f64 {
    if base == 10.0 {
        x.log10()
    } else if base == 2.0 {
        x.log2()
    } else {
        x.ln() / base.ln()
    }
}

#[cfg(test)]
mod tests;
