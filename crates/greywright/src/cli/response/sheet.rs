//! The whole picture: which candidates, and six plots.

use std::path::Path;

use super::measured::Measured;
use super::panels::{Panel, margins, stroke};
use crate::cli::failure::Failure;
use crate::draw::{Align, Area, Canvas, Ink, TEXT, TITLE, line_height, width};

/// Pixels around everything.
const MARGIN: f32 = 28.0;
/// The area of a plot.
const PLOT: [f32; 2] = [500.0, 390.0];
/// Plots in a row.
const ACROSS: usize = 3;

/// Draws the sheet and writes it.
///
/// # Errors
/// A file that cannot be written, or a format that holds no such picture.
pub fn write(out: &Path, measured: &[Measured]) -> Result<(), Failure> {
    let [left, top, right, bottom] = margins();
    let cell = [left + PLOT[0] + right, top + PLOT[1] + bottom];
    let head = line_height(TITLE) + measured.len() as f32 * (2.0 * line_height(TEXT) + 6.0) + 16.0;
    let rows = Panel::ALL.len().div_ceil(ACROSS) as f32;
    let size = [2.0 * MARGIN + ACROSS as f32 * cell[0], 2.0 * MARGIN + head + rows * cell[1]];
    let mut canvas = Canvas::new(size[0].ceil() as u32, size[1].ceil() as u32, Ink::GROUND)?;
    title(&mut canvas, measured, size[0] - 2.0 * MARGIN);
    for (at, panel) in Panel::ALL.into_iter().enumerate() {
        let (row, column) = (at / ACROSS, at % ACROSS);
        let x = MARGIN + column as f32 * cell[0] + left;
        let y = MARGIN + head + row as f32 * cell[1] + top;
        panel.draw(&mut canvas, Area::new(x, y, PLOT[0], PLOT[1]), measured);
    }
    canvas.write(out)
}

fn title(canvas: &mut Canvas, measured: &[Measured], space: f32) {
    let mut y = MARGIN + TITLE;
    canvas.text([MARGIN, y], "Response to the built-in patterns, by the proof", TITLE, Ink::MARK, Align::Left);
    let marks = "squares: steps of the wedge     dashed uprights: white of the 75 % and 100 % bars";
    canvas.text([MARGIN + space, y], marks, TEXT, Ink::LABEL, Align::Right);
    y += 6.0;
    for (at, one) in measured.iter().enumerate() {
        y += line_height(TEXT) + 6.0;
        let mut x = MARGIN;
        if measured.len() > 1 {
            canvas.line(&[[x, y - 5.0], [x + 46.0, y - 5.0]], stroke(at, Ink::TEXT, 2.0), None);
            canvas.text([x + 58.0, y], &(at + 1).to_string(), TEXT, Ink::MARK, Align::Left);
            x += 80.0;
        }
        canvas.text([x, y], &shortened(&one.name, space - 80.0), TEXT, Ink::TEXT, Align::Left);
        y += line_height(TEXT);
        let signals = format!("{} to {}   rendering: {}", one.original.signal(), one.result.signal(), one.rendering);
        canvas.text([x, y], &shortened(&signals, space - 80.0), TEXT, Ink::LABEL, Align::Left);
    }
}

/// A text that fits, its end left out where it must be.
fn shortened(text: &str, space: f32) -> String {
    if width(text, TEXT) <= space {
        return text.to_string();
    }
    let mut kept = text.to_string();
    while !kept.is_empty() && width(&kept, TEXT) > space - width(" ...", TEXT) {
        kept.pop();
    }
    kept + " ..."
}
