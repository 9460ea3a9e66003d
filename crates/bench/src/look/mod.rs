//! How the window looks: three greys, light text, figures of one width, no hue near a picture.
//!
//! The greys are neutral (equal codes), of 1, 5 and 10 % of white, so that the surround does not tint the eye. Text keeps
//! 7:1 for figures and 4.5:1 for labels against all three grounds that it stands on.

mod marks;

use std::sync::Arc;

use egui::{
    Color32, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, Style, TextStyle, Visuals,
};

pub use marks::{corner_ticks, hatch};

/// The ground of the window: 1 % of white.
pub const GROUND: Color32 = Color32::from_gray(25);
/// What is filled: a chosen row, a carriage: 5 % of white.
pub const FILL: Color32 = Color32::from_gray(63);
/// Lines and edges: 10 % of white.
pub const LINE: Color32 = Color32::from_gray(89);
/// Behind pictures and traces.
pub const BLACK: Color32 = Color32::from_gray(8);
/// Figures and names.
pub const TEXT: Color32 = Color32::from_gray(224);
/// Labels, units and what is quiet.
pub const LABEL: Color32 = Color32::from_gray(172);
/// Ticks, needles and the marks of what is chosen.
pub const LIGHT: Color32 = Color32::from_gray(240);

/// Red, green and blue of traces, the only hues there are: no nearer than [`HUE_APART`] to a picture. Their lightness differs
/// (L* 62, 83, 55), so that they are told apart without hue, and the three together are neutral.
pub const CHANNELS: [Color32; 3] =
    [Color32::from_rgb(240, 112, 92), Color32::from_rgb(134, 226, 146), Color32::from_rgb(90, 126, 226)];
/// How far hues stay from a picture, in points.
pub const HUE_APART: f32 = 40.0;

/// The size of text, in points.
pub const TEXT_SIZE: f32 = 13.0;
/// The size of labels, the least there is.
pub const LABEL_SIZE: f32 = 12.0;
/// The height of a row of text.
pub const ROW: f32 = 20.0;
/// What keeps things apart.
pub const GAP: f32 = 6.0;

/// Gives a context its look.
pub fn dress(context: &egui::Context) {
    context.set_fonts(fonts());
    context.set_theme(egui::Theme::Dark);
    context.all_styles_mut(style);
}

/// A face whose figures all have one width, and one for what must stand in columns to the letter.
fn fonts() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    let faces = [
        (FontFamily::Proportional, "plain", epaint_default_fonts::UBUNTU_LIGHT),
        (FontFamily::Monospace, "columns", epaint_default_fonts::HACK_REGULAR),
    ];
    for (family, name, bytes) in faces {
        fonts.font_data.insert(name.to_string(), Arc::new(FontData::from_static(bytes)));
        fonts.families.insert(family, vec![name.to_string()]);
    }
    fonts
}

fn style(style: &mut Style) {
    let font = |size| FontId::new(size, FontFamily::Proportional);
    style.text_styles = [
        (TextStyle::Small, font(LABEL_SIZE)),
        (TextStyle::Body, font(TEXT_SIZE)),
        (TextStyle::Button, font(TEXT_SIZE)),
        (TextStyle::Heading, font(16.0)),
        (TextStyle::Monospace, FontId::new(TEXT_SIZE, FontFamily::Monospace)),
    ]
    .into();
    style.animation_time = 0.0;
    style.spacing.item_spacing = egui::vec2(GAP, 2.0);
    style.spacing.button_padding = egui::vec2(GAP, 1.0);
    style.spacing.interact_size = egui::vec2(24.0, ROW);
    style.spacing.window_margin = Margin::same(10);
    style.visuals = visuals();
}

fn visuals() -> Visuals {
    let mut visuals = Visuals::dark();
    visuals.panel_fill = GROUND;
    visuals.window_fill = GROUND;
    visuals.window_stroke = Stroke::new(1.0, LINE);
    visuals.window_corner_radius = CornerRadius::ZERO;
    visuals.menu_corner_radius = CornerRadius::ZERO;
    visuals.window_shadow = egui::Shadow::NONE;
    visuals.popup_shadow = egui::Shadow::NONE;
    visuals.extreme_bg_color = BLACK;
    visuals.faint_bg_color = GROUND;
    visuals.code_bg_color = BLACK;
    visuals.hyperlink_color = LIGHT;
    visuals.warn_fg_color = LIGHT;
    visuals.error_fg_color = LIGHT;
    visuals.weak_text_color = Some(LABEL);
    visuals.selection.bg_fill = LINE;
    visuals.selection.stroke = Stroke::new(1.0, LIGHT);
    visuals.text_cursor.stroke = Stroke::new(1.5, LIGHT);
    visuals.text_cursor.blink = false;
    visuals.widgets.noninteractive = paint(GROUND, Stroke::new(1.0, LINE), TEXT);
    visuals.widgets.inactive = paint(GROUND, Stroke::new(1.0, LINE), TEXT);
    visuals.widgets.hovered = paint(FILL, Stroke::new(1.0, LIGHT), LIGHT);
    visuals.widgets.active = paint(LINE, Stroke::new(1.0, LIGHT), LIGHT);
    visuals.widgets.open = paint(FILL, Stroke::new(1.0, LINE), LIGHT);
    visuals
}

fn paint(fill: Color32, edge: Stroke, text: Color32) -> egui::style::WidgetVisuals {
    egui::style::WidgetVisuals {
        bg_fill: fill,
        weak_bg_fill: fill,
        bg_stroke: edge,
        corner_radius: CornerRadius::ZERO,
        fg_stroke: Stroke::new(1.0, text),
        expansion: 0.0,
    }
}

/// Text of a label.
pub fn label(words: impl Into<String>) -> egui::RichText {
    egui::RichText::new(words).size(LABEL_SIZE).color(LABEL)
}

/// Text of a name or a figure.
pub fn figure(words: impl Into<String>) -> egui::RichText {
    egui::RichText::new(words).size(TEXT_SIZE).color(TEXT)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Relative luminance of a grey.
    ///
    /// # Source
    /// IEC 61966-2-1.
    fn luminance(grey: Color32) -> f64 {
        let code = f64::from(grey.r()) / 255.0;
        if code <= 0.04045 { code / 12.92 } else { ((code + 0.055) / 1.055).powf(2.4) }
    }

    /// # Source
    /// WCAG 2.2, contrast ratio.
    fn contrast(a: Color32, b: Color32) -> f64 {
        let (light, dark) = (luminance(a).max(luminance(b)), luminance(a).min(luminance(b)));
        (light + 0.05) / (dark + 0.05)
    }

    #[test]
    fn greys_are_neutral_and_of_the_light_that_they_say() {
        for (grey, percent) in [(GROUND, 1.0), (FILL, 5.0), (LINE, 10.0)] {
            assert!(grey.r() == grey.g() && grey.g() == grey.b());
            assert!((luminance(grey) * 100.0 - percent).abs() < 0.15, "{percent}: {}", luminance(grey));
        }
    }

    #[test]
    fn text_can_be_read_on_every_ground() {
        for ground in [BLACK, GROUND, FILL] {
            assert!(contrast(TEXT, ground) >= 7.0, "{}", contrast(TEXT, ground));
            assert!(contrast(LABEL, ground) >= 4.5, "{}", contrast(LABEL, ground));
        }
    }

    /// Whoever sees no hue tells channels apart by their lightness, and can read their letters.
    #[test]
    fn channels_differ_without_hue() {
        let light = |ink: Color32| {
            let code = |code: u8| luminance(Color32::from_gray(code));
            // The weights of IEC 61966-2-1, whose primaries are those of Rec. ITU-R BT.709.
            0.2126 * code(ink.r()) + 0.7152 * code(ink.g()) + 0.0722 * code(ink.b())
        };
        // CIE 15:2018, 8.2.1.
        let lightness = CHANNELS.map(|ink| 116.0 * light(ink).cbrt() - 16.0);
        let [red, green, blue] = lightness;
        assert!(green - red > 15.0 && red - blue > 5.0, "{lightness:?}");
        for ink in CHANNELS {
            let contrast = (light(ink) + 0.05) / (luminance(BLACK) + 0.05);
            assert!(contrast >= 4.5, "{contrast}");
        }
        let sum = CHANNELS.iter().fold([0u32; 3], |sum, ink| {
            [sum[0] + u32::from(ink.r()), sum[1] + u32::from(ink.g()), sum[2] + u32::from(ink.b())]
        });
        assert!(sum.iter().max().unwrap() - sum.iter().min().unwrap() <= 6, "{sum:?}");
    }
}
