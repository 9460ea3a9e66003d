//! Text in one open font whose figures are all of one width.

use std::sync::LazyLock;

use ab_glyph::{Font as _, FontRef, Glyph, PxScale, ScaleFont as _, point};
use tiny_skia::{Pixmap, PremultipliedColorU8};

use super::Ink;

/// The size of figures along axes, in pixels of the em; the least that is read at 1:1.
pub const SMALL: f32 = 13.0;
/// The size of running text.
pub const TEXT: f32 = 14.0;
/// The size of a plot's name.
pub const TITLE: f32 = 17.0;

/// Which point of a text stands where it is put.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Align {
    /// Its left end.
    Left,
    /// Its middle.
    Middle,
    /// Its right end.
    Right,
}

/// Coverage is raised to this power: light strokes on a dark ground would else read thinner than they are.
const COVERAGE_POWER: f32 = 0.75;

static FONT: LazyLock<Option<FontRef<'static>>> =
    LazyLock::new(|| FontRef::try_from_slice(epaint_default_fonts::UBUNTU_LIGHT).ok());

/// The scale of ab_glyph, which counts the font's whole height, for a size of the em.
fn scale_of(font: &FontRef<'static>, size: f32) -> PxScale {
    PxScale::from(size * font.height_unscaled() / font.units_per_em().unwrap_or(1000.0))
}

/// The height of a line of text.
pub fn line_height(size: f32) -> f32 {
    (size * 1.35).round()
}

/// The width of a text in pixels.
pub fn width(text: &str, size: f32) -> f32 {
    laid_out(text, size).map_or(0.0, |(_, width)| width)
}

fn laid_out(text: &str, size: f32) -> Option<(Vec<Glyph>, f32)> {
    let font = FONT.as_ref()?;
    let scale = scale_of(font, size);
    let scaled = font.as_scaled(scale);
    let mut at = 0.0;
    let mut last = None;
    let glyphs = text.chars().map(|c| {
        let id = scaled.glyph_id(c);
        at += last.map_or(0.0, |last| scaled.kern(last, id));
        let glyph = id.with_scale_and_position(scale, point(at, 0.0));
        at += scaled.h_advance(id);
        last = Some(id);
        glyph
    });
    let glyphs = glyphs.collect();
    Some((glyphs, at))
}

/// Draws a line of text on its baseline. The baseline lies on whole pixels, so that horizontal strokes stay sharp.
pub(super) fn draw(pixmap: &mut Pixmap, [x, y]: [f32; 2], text: &str, size: f32, ink: Ink, align: Align) {
    let (Some(font), Some((glyphs, width))) = (FONT.as_ref(), laid_out(text, size)) else { return };
    let left = match align {
        Align::Left => x,
        Align::Middle => x - width / 2.0,
        Align::Right => x - width,
    };
    for mut glyph in glyphs {
        glyph.position.x += left.round();
        glyph.position.y = y.round();
        let Some(outline) = font.outline_glyph(glyph) else { continue };
        let origin = outline.px_bounds().min;
        outline.draw(|dx, dy, coverage| {
            put(pixmap, origin.x + dx as f32, origin.y + dy as f32, coverage.powf(COVERAGE_POWER), ink);
        });
    }
}

fn put(pixmap: &mut Pixmap, x: f32, y: f32, coverage: f32, Ink(ink): Ink) {
    let (width, height) = (pixmap.width(), pixmap.height());
    if x < 0.0 || y < 0.0 || x >= width as f32 || y >= height as f32 {
        return;
    }
    let at = y as usize * width as usize + x as usize;
    let Some(pixel) = pixmap.pixels_mut().get_mut(at) else { return };
    let under = [pixel.red(), pixel.green(), pixel.blue()];
    let share = coverage.clamp(0.0, 1.0);
    let over = |at: usize| (f32::from(under[at]) * (1.0 - share) + f32::from(ink[at]) * share).round() as u8;
    // Canvases are opaque.
    if let Some(mixed) = PremultipliedColorU8::from_rgba(over(0), over(1), over(2), 255) {
        *pixel = mixed;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_all_of_one_width_and_every_sign_that_is_used_is_there() {
        let widths: Vec<f32> = ('0'..='9').map(|c| width(&c.to_string(), TEXT)).collect();
        assert!(widths.iter().all(|width| *width == widths[0] && *width > 4.0), "{widths:?}");
        let font = FONT.as_ref().unwrap();
        for c in "+-.,%'°Δσ±·×°ABCXYZabcxyz".chars() {
            assert_ne!(font.glyph_id(c).0, 0, "{c}");
        }
    }
}
