//! How a pass's source or result is stored, and the calls that read and write it.

use frame::{ByteOrder, Channels, Layout, Range, Samples};

/// How pixels are stored on one side of a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// As a frame of a file.
    Stored(Layout, Range),
    /// Between two passes: four floats a pixel, alpha divided out.
    Between,
}

impl Edge {
    /// Bytes that so many pixels take, rounded up to whole words and whole groups of pixels.
    pub fn byte_len(self, pixels: u64) -> u64 {
        match self {
            Edge::Between => pixels * 16,
            Edge::Stored(layout, _) => {
                let group = u64::from(self.group());
                pixels.div_ceil(group) * group * layout.bytes_per_pixel() as u64
            }
        }
    }

    /// How many pixels share words, so that one thread must write them together.
    pub fn group(self) -> u32 {
        match self {
            Edge::Stored(Layout { channels: Channels::Rgb, samples: Samples::U16 | Samples::Half, .. }, _) => 2,
            _ => 1,
        }
    }

    /// `signal = stored * scale + offset` on the way in.
    pub(crate) fn signal_from_stored(self) -> (f64, f64) {
        match self {
            Edge::Stored(layout, range) => range.signal_from_stored(layout.samples),
            Edge::Between => (1.0, 0.0),
        }
    }

    /// `stored = signal * scale + offset` on the way out.
    pub(crate) fn stored_from_signal(self) -> (f64, f64) {
        match self {
            Edge::Stored(layout, range) => range.stored_from_signal(layout.samples),
            Edge::Between => (1.0, 0.0),
        }
    }

    /// The range as part of the text: full range needs no arithmetic.
    pub(crate) fn is_full(self) -> bool {
        !matches!(self, Edge::Stored(_, Range::Legal))
    }

    fn parts(self) -> (&'static str, bool, bool) {
        let Edge::Stored(layout, _) = self else { return ("between", true, false) };
        let alpha = layout.channels == Channels::Rgba;
        let name = match (layout.samples, alpha) {
            (Samples::Ten, _) => "ten",
            (Samples::U16, false) => "u16_rgb",
            (Samples::U16, true) => "u16_rgba",
            (Samples::Half, false) => "half_rgb",
            (Samples::Half, true) => "half_rgba",
            (Samples::Float, false) => "float_rgb",
            (Samples::Float, true) => "float_rgba",
        };
        (name, alpha, layout.order == ByteOrder::Big)
    }

    /// The file that declares the source and reads it.
    pub(crate) fn source_file(self) -> &'static str {
        if self == Edge::Between { "edges/source_between.wgsl" } else { "edges/source.wgsl" }
    }

    /// The file that declares the result and writes it.
    pub(crate) fn result_file(self) -> &'static str {
        if self == Edge::Between { "edges/result_between.wgsl" } else { "edges/result.wgsl" }
    }

    /// Lines that read `pixel` into `rgba`.
    pub(crate) fn load(self) -> String {
        let (name, alpha, swap) = self.parts();
        if self == Edge::Between {
            return "    var rgba = load_between(pixel);\n".to_string();
        }
        let mut text = format!("    var rgba = load_{name}(pixel, {swap});\n");
        if !self.is_full() {
            text += "    rgba = vec4f(rgba.rgb * settings.source_scale + settings.source_offset, rgba.a);\n";
        }
        if alpha {
            text += "    rgba = without_alpha(rgba);\n";
        }
        text
    }

    /// Lines that make `rgba` ready to be stored; they do not depend on the pixel.
    pub(crate) fn finish(self) -> String {
        let mut text = String::new();
        let Edge::Stored(layout, _) = self else { return text };
        // Alpha ends at its integers' range before colour is associated with it.
        if !layout.is_float() {
            text += "    rgba.a = clamp(rgba.a, 0.0, 1.0);\n";
        }
        text += "    rgba = with_alpha(rgba);\n";
        if !self.is_full() {
            text += "    rgba = vec4f(rgba.rgb * settings.result_scale + settings.result_offset, rgba.a);\n";
        }
        text
    }

    /// The line that writes the group's pixels, each made by `pixel_of(n)`.
    pub(crate) fn store(self) -> String {
        let (name, _, swap) = self.parts();
        match (self, self.group()) {
            (Edge::Between, _) => "    store_between(group, shade(group));\n".to_string(),
            (_, 1) => format!("    store_{name}(group, shade(group), {swap});\n"),
            _ => format!("    store_{name}(group, shade(group * 2u), shade(group * 2u + 1u), {swap});\n"),
        }
    }
}
