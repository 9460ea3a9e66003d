//! Codes written in the pixels of a picture that is shown very large.

use egui::{Align2, Color32, FontFamily, FontId, Rect, Ui, pos2};

use super::placing::Placing;
use crate::look::{BLACK, LABEL_SIZE, LIGHT};
use crate::pictures::{CODES_FROM, Shown};

/// Three rows of figures to a pixel, no further apart than this, in points.
const PITCH: f32 = 14.0;
/// Above this luma, in 10-bit codes, figures are dark.
const LIGHT_FROM: f32 = 430.0;

/// What is written in one pixel: three lines, and whether they stand on something light.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// Red, green and blue.
    pub lines: [String; 3],
    /// Whether figures have to be dark.
    pub on_light: bool,
}

impl Written {
    /// The codes of a pixel.
    pub fn codes(rgb: [u16; 3]) -> Self {
        Self { lines: rgb.map(|code| code.to_string()), on_light: luma(rgb.map(f32::from)) > LIGHT_FROM }
    }

    /// How far a pixel is from another one, on a scale of differences up to so many codes.
    pub fn difference(from: [u16; 3], to: [u16; 3], end: f32) -> Self {
        let steps: [i32; 3] = std::array::from_fn(|at| i32::from(to[at]) - i32::from(from[at]));
        let lines = steps.map(|step| if step == 0 { "0".to_string() } else { format!("{step:+}") });
        let largest = steps.into_iter().map(i32::abs).max().unwrap_or(0) as f32;
        let ink = gpu::device::heat(largest / end).map(|code| code * 1023.0);
        Self { lines, on_light: luma(ink) > LIGHT_FROM }
    }
}

/// # Source
/// Rec. ITU-R BT.709-6, item 3.2.
fn luma([red, green, blue]: [f32; 3]) -> f32 {
    0.2126 * red + 0.7152 * green + 0.0722 * blue
}

/// Writes the codes in those pixels that are seen, where they are large enough. Right of the seam they are the second picture's, or
/// how far it is from the first.
pub fn write(ui: &Ui, tile: Rect, placed: Placing, pictures: [&Shown; 2], seam: f32, difference: Option<f32>) {
    let (Some(first), Some(second)) = (&pictures[0].codes, &pictures[1].codes) else { return };
    if placed.scale.min_elem() < CODES_FROM {
        return;
    }
    let size = pictures[0].size();
    let seen = placed.picture.intersect(tile);
    let (from, to) = (placed.under(seen.min), placed.under(seen.max));
    let painter = ui.painter_at(seen);
    let font = FontId::new(LABEL_SIZE, FontFamily::Proportional);
    let pitch = (placed.scale.y / 3.0).min(PITCH);
    for y in from.y.max(0.0) as u32..(to.y.ceil().max(0.0) as u32).min(size.height) {
        for x in from.x.max(0.0) as u32..(to.x.ceil().max(0.0) as u32).min(size.width) {
            let at = y as usize * size.width as usize + x as usize;
            let (Some(a), Some(b)) = (first.get(at), second.get(at)) else { continue };
            let middle = placed.picture.min + egui::vec2(x as f32 + 0.5, y as f32 + 0.5) * placed.scale;
            let written = match difference {
                _ if middle.x < seam => Written::codes(*a),
                None => Written::codes(*b),
                Some(end) => Written::difference(*a, *b, end),
            };
            let colour: Color32 = if written.on_light { BLACK } else { LIGHT };
            for (row, line) in [-1.0, 0.0, 1.0].into_iter().zip(&written.lines) {
                let place = pos2(middle.x, middle.y + row * pitch);
                painter.text(place, Align2::CENTER_CENTER, line, font.clone(), colour);
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn codes_are_written_as_they_are_and_differences_with_their_sign() {
        let words = |lines: [&str; 3]| lines.map(str::to_string);
        assert_eq!(Written::codes([64, 512, 1023]).lines, words(["64", "512", "1023"]));
        assert!(!Written::codes([64, 64, 64]).on_light && Written::codes([900, 900, 900]).on_light);
        let step = Written::difference([10, 500, 7], [14, 300, 7], 64.0);
        assert_eq!((step.lines, step.on_light), (words(["+4", "-200", "0"]), true));
        assert!(!Written::difference([10; 3], [11; 3], 64.0).on_light);
    }
}
