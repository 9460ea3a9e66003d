//! The picture of a view: what is seen in words, the picture itself, and its key beside it.

use std::path::Path;

use measure::view::BANDS;

use super::seen::{OfClass, Seen, Swatch};
use crate::cli::failure::Failure;
use crate::cli::scopes::Tapped;
use crate::draw::{Align, Area, Canvas, Ink, SMALL, TEXT, TITLE, line_height, width};

const MARGIN: f32 = 28.0;
/// A colour of the key in pixels.
const SWATCH: [f32; 2] = [56.0, 26.0];
/// Room for the shares at the right end of the key.
const SHARE: f32 = 76.0;

/// Draws and writes the picture.
///
/// # Errors
/// A picture too large to be drawn; a file that cannot be written.
pub fn write(out: &Path, tapped: &Tapped, seen: &Seen, words: &str) -> Result<(), Failure> {
    let names = seen.classes.iter().map(|of| width(&of.name, TEXT)).fold(0.0f32, f32::max).ceil();
    let key = SWATCH[0] + 12.0 + names + 12.0 + SHARE;
    let title = format!("{}, {}", tapped.file, tapped.place);
    let signal = format!("signal: {}   rendering: {}", tapped.tap.signal(), tapped.rendering);
    let lines = [width(&title, TITLE), width(&signal, TEXT), width(words, TEXT)];
    let across = (seen.size[0] as f32 + MARGIN + key).max(lines.into_iter().fold(0.0, f32::max));
    let head = line_height(TITLE) + 2.0 * line_height(TEXT) + 16.0;
    let key_height = seen.classes.len() as f32 * SWATCH[1] + line_height(SMALL) + 12.0;
    let height = 2.0 * MARGIN + head + (seen.size[1] as f32).max(key_height);
    let mut canvas = Canvas::new((across + 2.0 * MARGIN).ceil() as u32, height.ceil() as u32, Ink::GROUND)?;
    let mut y = MARGIN + TITLE;
    canvas.text([MARGIN, y], &title, TITLE, Ink::MARK, Align::Left);
    for line in [&signal, words] {
        y += line_height(TEXT) + 1.0;
        canvas.text([MARGIN, y], line, TEXT, Ink::LABEL, Align::Left);
    }
    let top = (MARGIN + head).round();
    canvas.image([MARGIN as u32, top as u32], seen.size[0], &seen.inks);
    let x = MARGIN + seen.size[0] as f32 + MARGIN;
    let right = x + key;
    canvas.text([right, top + SMALL], "of the picture", SMALL, Ink::LABEL, Align::Right);
    let mut y = top + line_height(SMALL) + 8.0;
    for of in &seen.classes {
        swatch(&mut canvas, [x, y], of);
        let base = y + SWATCH[1] / 2.0 + TEXT * 0.35;
        canvas.text([x + SWATCH[0] + 12.0, base], &of.name, TEXT, Ink::TEXT, Align::Left);
        let share = seen.percent_in_words(of.pixels);
        let ink = if of.pixels == 0 { Ink::LABEL } else { Ink::TEXT };
        canvas.text([right, base], &share, TEXT, ink, Align::Right);
        y += SWATCH[1];
    }
    canvas.write(out)
}

fn swatch(canvas: &mut Canvas, [x, y]: [f32; 2], of: &OfClass) {
    let size = [SWATCH[0] as u32, SWATCH[1] as u32];
    match of.swatch {
        Swatch::Band(at) => {
            let Some(band) = BANDS.get(at) else { return };
            canvas.fill(Area::new(x, y, SWATCH[0], SWATCH[1]), Ink(band.ink));
            // The middle band carries either; the greater contrast is taken.
            let ink = if at < BANDS.len() / 2 { Ink::MARK } else { Ink::BLACK };
            let middle = [x + SWATCH[0] / 2.0, y + SWATCH[1] / 2.0 + TEXT * 0.35];
            canvas.text(middle, band.numeral, TEXT, ink, Align::Middle);
        }
        // A pixel of ground around it, so that patterns do not run into one another.
        Swatch::Mark(mark) => place(canvas, [x, y], size, |column, row| mark.ink(column, row).unwrap_or(0.5)),
        Swatch::Grey(low, high) => place(canvas, [x, y], size, |column, _| {
            low + (high - low) * f64::from(column) / f64::from(size[0].saturating_sub(1).max(1))
        }),
    }
}

fn place(canvas: &mut Canvas, [x, y]: [f32; 2], size: [u32; 2], grey: impl Fn(u32, u32) -> f64) {
    let [width, height] = [size[0], size[1].saturating_sub(2)];
    let pixels: Vec<Ink> = (0..height)
        .flat_map(|row| (0..width).map(move |column| (column, row)))
        .map(|(column, row)| Ink::grey(grey(column, row)))
        .collect();
    canvas.image([x as u32, y as u32 + 1], width, &pixels);
}
