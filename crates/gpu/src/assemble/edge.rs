//! How a pass's source or result is stored, and the calls that read and write it.

use frame::{ByteOrder, Channels, Dither, Layout, Range, Samples};

/// How pixels are stored on one side of a pass.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Edge {
    /// As a frame of a file.
    Stored(Layout, Range),
    /// As a frame of a file, written dithered to its codes. Floats have none and are written as they are.
    Dithered(Layout, Range, Dither),
    /// Between two passes: four floats a pixel, alpha divided out.
    Between,
}

impl Edge {
    /// A result that is dithered or not.
    pub fn written(layout: Layout, range: Range, dither: Option<Dither>) -> Self {
        match dither {
            Some(dither) => Edge::Dithered(layout, range, dither),
            None => Edge::Stored(layout, range),
        }
    }

    /// The layout and the range of a frame of a file.
    pub fn stored(self) -> Option<(Layout, Range)> {
        match self {
            Edge::Stored(layout, range) | Edge::Dithered(layout, range, _) => Some((layout, range)),
            Edge::Between => None,
        }
    }

    /// The layout of its bytes: four single floats between passes.
    pub fn layout(self) -> Layout {
        const BETWEEN: Layout = Layout::new(Channels::Rgba, Samples::Float, ByteOrder::Little);
        self.stored().map_or(BETWEEN, |(layout, _)| layout)
    }

    /// How its codes are dithered, where it has codes.
    pub fn dither(self) -> Option<Dither> {
        match self {
            Edge::Dithered(layout, _, dither) if !layout.is_float() => Some(dither),
            _ => None,
        }
    }

    /// Bytes that so many pixels take, rounded up to whole words and whole groups of pixels.
    pub fn byte_len(self, pixels: u64) -> u64 {
        let Some((layout, _)) = self.stored() else { return pixels * 16 };
        let group = u64::from(self.group());
        pixels.div_ceil(group) * group * layout.bytes_per_pixel() as u64
    }

    /// How many pixels one thread writes: those that share words, and four of the 10-bit ones, since
    /// memory is quickest in pieces of sixteen bytes.
    pub fn group(self) -> u32 {
        match self.stored() {
            Some((Layout { samples: Samples::Ten, .. }, _)) => 4,
            Some((Layout { channels: Channels::Rgb, samples: Samples::Codes(_) | Samples::Half, .. }, _)) => 2,
            _ => 1,
        }
    }

    fn is_ten(self) -> bool {
        matches!(self.stored(), Some((Layout { samples: Samples::Ten, .. }, _)))
    }

    /// `signal = stored * scale + offset` on the way in.
    pub(crate) fn signal_from_stored(self) -> (f64, f64) {
        self.stored().map_or((1.0, 0.0), |(layout, range)| range.signal_from_stored(layout.samples))
    }

    /// `stored = signal * scale + offset` on the way out.
    pub(crate) fn stored_from_signal(self) -> (f64, f64) {
        self.stored().map_or((1.0, 0.0), |(layout, range)| range.stored_from_signal(layout.samples))
    }

    /// The range as part of the text: full range needs no arithmetic.
    pub(crate) fn is_full(self) -> bool {
        !matches!(self.stored(), Some((_, Range::Legal)))
    }

    /// The last argument of the calls for codes: the highest one.
    fn highest(self) -> String {
        match self.stored() {
            Some((Layout { samples: samples @ Samples::Codes(_), .. }, _)) => format!(", {}.0", samples.highest_code()),
            _ => String::new(),
        }
    }

    fn parts(self) -> (&'static str, bool, bool) {
        let Some((layout, _)) = self.stored() else { return ("between", true, false) };
        let alpha = layout.channels == Channels::Rgba;
        let name = match (layout.samples, alpha) {
            (Samples::Ten, _) => "ten",
            (Samples::Codes(_), false) => "codes_rgb",
            (Samples::Codes(_), true) => "codes_rgba",
            (Samples::Half, false) => "half_rgb",
            (Samples::Half, true) => "half_rgba",
            (Samples::Float, false) => "float_rgb",
            (Samples::Float, true) => "float_rgba",
        };
        (name, alpha, layout.order == ByteOrder::Big)
    }

    /// The file that declares the source and reads it.
    pub(crate) fn source_file(self) -> &'static str {
        match self {
            Edge::Between => "edges/source_between.wgsl",
            _ if self.is_ten() => "edges/source_ten.wgsl",
            _ => "edges/source.wgsl",
        }
    }

    /// The file that declares the result and writes it.
    pub(crate) fn result_file(self) -> &'static str {
        match self {
            Edge::Between => "edges/result_between.wgsl",
            _ if self.is_ten() => "edges/result_ten.wgsl",
            _ => "edges/result.wgsl",
        }
    }

    /// The file that says the noise of a pixel, where the result is dithered.
    pub(crate) fn dither_file(self) -> Option<&'static str> {
        self.dither().map(|dither| match dither {
            Dither::Triangular => "edges/dither_triangular.wgsl",
            Dither::BlueNoise => "edges/dither_blue_noise.wgsl",
        })
    }

    /// Lines that read pixel `lane` of a group of `group` into `rgba`.
    pub(crate) fn load(self, group: u32) -> String {
        let (name, alpha, swap) = self.parts();
        let pixel = pixel_of(group);
        if self == Edge::Between {
            return format!("    var rgba = load_between({pixel});\n");
        }
        let mut text = match (self.is_ten(), group) {
            (true, 4) => format!("    var rgba = load_ten(group, lane, {swap});\n"),
            (true, _) => {
                format!("    let pixel = {pixel};\n    var rgba = load_ten(pixel / 4u, pixel % 4u, {swap});\n")
            }
            _ => format!("    var rgba = load_{name}({pixel}, {swap}{});\n", self.highest()),
        };
        if !self.is_full() {
            text += "    rgba = vec4f(rgba.rgb * settings.source_scale + settings.source_offset, rgba.a);\n";
        }
        if alpha {
            text += "    rgba = without_alpha(rgba);\n";
        }
        text
    }

    /// Lines that make `rgba` ready to be stored; only noise depends on the pixel.
    pub(crate) fn finish(self) -> String {
        let mut text = String::new();
        let Some((layout, _)) = self.stored() else { return text };
        // Alpha ends at its integers' range before colour is associated with it.
        if !layout.is_float() {
            text += "    rgba.a = clamp(rgba.a, 0.0, 1.0);\n";
        }
        text += "    rgba = with_alpha(rgba);\n";
        if !self.is_full() {
            text += "    rgba = vec4f(rgba.rgb * settings.result_scale + settings.result_offset, rgba.a);\n";
        }
        if let Some(dither) = self.dither() {
            let noise_at = match dither {
                Dither::Triangular => "triangular_noise_at",
                Dither::BlueNoise => "blue_noise_at",
            };
            let (index, highest) = (pixel_of(self.group()), layout.samples.highest_code());
            let (black, white) = match self.is_full() {
                true => ("0.0", "1.0"),
                false => ("settings.result_offset", "settings.result_scale + settings.result_offset"),
            };
            text += &format!(
                "    let at = place_in_frame({index}, settings.width, settings.left, settings.top);
    let noise = {noise_at}(at, settings.frame);
    rgba = vec4f(dithered(rgba.rgb, {highest}.0, {black}, {white}, noise), rgba.a);\n"
            );
        }
        text
    }

    /// The line that writes a group's pixels.
    pub(crate) fn store(self) -> String {
        let (name, _, swap) = self.parts();
        let shades: Vec<_> = (0..self.group()).map(|lane| format!("shade(group, {lane}u)")).collect();
        let shades = shades.join(", ");
        match self {
            Edge::Between => format!("    store_between(group, {shades});\n"),
            _ => format!("    store_{name}(group, {shades}, {swap}{});\n", self.highest()),
        }
    }
}

/// The pixel that lane `lane` of a group of so many works on.
pub(super) fn pixel_of(group: u32) -> String {
    if group == 1 { "group".to_string() } else { format!("group * {group}u + lane") }
}
