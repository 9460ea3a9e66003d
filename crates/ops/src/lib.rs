//! One operation, one room: settings, units, formula, derived constants.
//!
//! An operation is a file here, a shader of the same stem under `shaders/ops/`, and one line of the
//! list below. Everything general (controls, keys, documentation, tests) comes out of that list.
//! This crate knows no GPU, no window and no file.

#[macro_use]
mod registry;
#[macro_use]
mod constants;
mod aces2_cache;
mod aces2_constants;
mod aces2_hues;
mod aces_display;
mod context;
mod display;
mod light_path;
mod limit;
mod operation;
mod rendered;
mod rendering;
pub mod settings;
mod signal;
pub mod trim;

pub use constants::{Constant, Constants, Derived, Shader};
pub use context::{Book, Context};
pub use display::Display;
pub use limit::Limit;
pub(crate) use operation::one_step;
pub use operation::{
    Budget, Domain, Eval, OpError, Operation, Pointwise, Signals, Step, code_not_light, conversion, primaries_step,
};
pub use rendered::Rendered;
pub use rendering::Rendering;
pub use settings::{Control, Field, Setting, SettingError, Settings, Unit};
pub use signal::{Curve, MID_GREY, Reference, Signal};
pub use trim::Trim;

registry! {
    ($)
    pointwise {
        exposure::Exposure = "exposure",
        white_balance::WhiteBalance = "white-balance",
        flare::Flare = "flare",
        printer_points::PrinterPoints = "printer-points",
        channel_gain::ChannelGain = "channel-gain",
        channel_offset::ChannelOffset = "channel-offset",
        light_shift::LightShift = "light-shift",
        taper_balance::TaperBalance = "taper-balance",
        contrast::Contrast = "contrast",
        saturation::Saturation = "saturation",
        cdl::Cdl = "cdl",
        shoulder::Shoulder = "shoulder",
        gamut_compress::GamutCompress = "gamut-compress",
        soft_clip::SoftClip = "soft-clip",
    }
    expanding {
        input_transform::InputTransform = "input-transform",
        encode::Encode = "encode",
        lut::Lut = "lut",
        output_transform::OutputTransform = "output-transform",
        mix::Mix = "mix",
    }
    conversions {
        code_to_light::CodeToLight,
        light_to_code::LightToCode,
        change_primaries::ChangePrimaries,
        peak_fit::PeakFit,
        hlg_light::HlgLight,
        hlg_black::HlgBlack,
        aces_rendering::AcesRendering,
        aces_scene::AcesScene,
        look_up::LookUp,
    }
}

mod curve_constants;
mod dispatch;
