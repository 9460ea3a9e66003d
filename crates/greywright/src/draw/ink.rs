//! The colours that are drawn with, as sRGB codes.

/// An sRGB colour.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ink(pub [u8; 3]);

impl Ink {
    /// Around pictures: 1 % of white.
    pub const GROUND: Ink = Ink([25; 3]);
    /// Behind traces, whose density starts at nothing.
    pub const BLACK: Ink = Ink([0; 3]);
    /// Lines of a grid, darker than a single pixel of a trace.
    pub const GRID: Ink = Ink([38; 3]);
    /// Frames of plots: 10 % of white.
    pub const FRAME: Ink = Ink([89; 3]);
    /// What is said beside: 7 to 1 against the ground.
    pub const LABEL: Ink = Ink([176; 3]);
    /// Figures and names: 11 to 1.
    pub const TEXT: Ink = Ink([216; 3]);
    /// Marks that must be found at once.
    pub const MARK: Ink = Ink([255; 3]);
    /// Red, green and blue of traces. Their lightness differs (L* 62, 83, 55), so that they are told apart without hue, and
    /// the three together are neutral.
    pub const CHANNELS: [Ink; 3] = [Ink([240, 112, 92]), Ink([134, 226, 146]), Ink([90, 126, 226])];

    /// The grey of a display signal, 0 to 1.
    pub fn grey(signal: f64) -> Ink {
        Ink([(signal.clamp(0.0, 1.0) * 255.0).round() as u8; 3])
    }

    /// Red, green and blue traces of some intensity, 0 to 1, over one another: as bright as the brightest of them, and the
    /// more neutral the more alike they are.
    pub fn together(intensities: [f64; 3]) -> Ink {
        let brightest = intensities.into_iter().fold(0.0, f64::max);
        let sums = [0, 1, 2].map(|of| {
            Ink::CHANNELS.iter().zip(intensities).map(|(ink, share)| f64::from(ink.0[of]) * share).sum::<f64>()
        });
        let most = sums.into_iter().fold(0.0, f64::max);
        if most <= 0.0 {
            return Ink::BLACK;
        }
        Ink(sums.map(|sum| (sum / most * brightest * 255.0).round().clamp(0.0, 255.0) as u8))
    }

    pub(super) fn skia(self, opacity: f32) -> tiny_skia::Color {
        let [r, g, b] = self.0;
        let alpha = (opacity.clamp(0.0, 1.0) * 255.0).round() as u8;
        tiny_skia::Color::from_rgba8(r, g, b, alpha)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use colour::{Form, Transfer};

    fn light(Ink(codes): Ink) -> [f64; 3] {
        codes.map(|code| Transfer::Srgb.decode(Form::Exact, f64::from(code) / 255.0))
    }

    /// Source: Rec. ITU-R BT.709-6, luminance weights; WCAG 2.2, contrast ratio.
    fn luminance(ink: Ink) -> f64 {
        let [r, g, b] = light(ink);
        0.2126 * r + 0.7152 * g + 0.0722 * b
    }

    #[test]
    fn text_is_read_and_surrounds_are_neutral() {
        let contrast = |ink| (luminance(ink) + 0.05) / (luminance(Ink::GROUND) + 0.05);
        assert!(
            contrast(Ink::LABEL) >= 7.0 && contrast(Ink::TEXT) >= 10.5,
            "{} {}",
            contrast(Ink::LABEL),
            contrast(Ink::TEXT)
        );
        for ink in [Ink::GROUND, Ink::BLACK, Ink::GRID, Ink::FRAME, Ink::LABEL, Ink::TEXT, Ink::MARK] {
            assert!(ink.0.iter().all(|code| *code == ink.0[0]), "{ink:?}");
        }
        assert!((luminance(Ink::GROUND) - 0.01).abs() < 0.001 && (luminance(Ink::FRAME) - 0.1).abs() < 0.003);
    }

    #[test]
    fn channels_differ_in_lightness_and_are_neutral_together() {
        let lightness = |ink| 116.0 * luminance(ink).cbrt() - 16.0;
        let [red, green, blue] = Ink::CHANNELS.map(lightness);
        assert!(green - red > 18.0 && red - blue > 6.0, "{red} {green} {blue}");
        let sums: Vec<u32> = (0..3).map(|at| Ink::CHANNELS.iter().map(|ink| u32::from(ink.0[at])).sum()).collect();
        assert!(sums.iter().all(|sum| *sum == sums[0]), "{sums:?}");
    }
}
