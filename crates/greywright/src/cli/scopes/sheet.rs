//! The whole picture: what is measured in words, the picture itself, and its scopes.

use std::path::Path;
use std::sync::Arc;

use measure::scopes::Region;

use super::count::Counted;
use super::panels::{Panel, range_name};
use super::thumbnail::{self, Thumbnail};
use super::{Kind, Tapped};
use crate::cli::failure::Failure;
use crate::draw::{Align, Area, Canvas, Ink, SMALL, TEXT, TITLE, line_height};

/// Pixels around everything.
const MARGIN: f32 = 28.0;
/// Pixels between panels.
const GAP: f32 = 28.0;
/// The most columns of panels.
const ACROSS: usize = 3;
/// The largest picture, in pixels.
const PICTURE: [u32; 2] = [660, 512];
/// What stands above the picture and beside the frames of plots.
const HEAD: f32 = 45.0;

/// Draws the sheet and writes it.
///
/// # Errors
/// A file that cannot be written, or a format that holds no such picture.
pub fn write(out: &Path, tapped: &Tapped, region: Region, counted: &[(Kind, Arc<Counted>)]) -> Result<(), Failure> {
    let panels: Vec<Panel> = counted.iter().map(|(kind, counted)| Panel::new(*kind, counted, tapped, region)).collect();
    let picture = thumbnail::make(tapped, PICTURE);
    let picture_size = [(picture.size[0] as f32).max(360.0), picture.size[1] as f32 + HEAD + 30.0];
    let sizes: Vec<[f32; 2]> = std::iter::once(picture_size).chain(panels.iter().map(Panel::size)).collect();
    let across = match sizes.len() {
        count @ ..=2 => count,
        3..=4 => 2,
        _ => ACROSS,
    };
    let widths: Vec<f32> =
        (0..across).map(|at| most(sizes.iter().skip(at).step_by(across).map(|size| size[0]))).collect();
    let heights: Vec<f32> = sizes.chunks(across).map(|row| most(row.iter().map(|size| size[1]))).collect();
    let head = line_height(TITLE) + 2.0 * line_height(TEXT) + 12.0;
    let width = 2.0 * MARGIN + widths.iter().sum::<f32>() + GAP * (widths.len() - 1) as f32;
    let height = 2.0 * MARGIN + head + heights.iter().sum::<f32>() + GAP * heights.len() as f32;
    let mut canvas = Canvas::new(width.ceil() as u32, height.ceil() as u32, Ink::GROUND)?;
    title(&mut canvas, tapped, region);
    for at in 0..sizes.len() {
        let (column, row) = (at % across, at / across);
        let x = MARGIN + widths.iter().take(column).sum::<f32>() + GAP * column as f32;
        let y = MARGIN + head + GAP + heights.iter().take(row).map(|height| height + GAP).sum::<f32>();
        match at.checked_sub(1).and_then(|at| panels.get(at)) {
            Some(panel) => panel.draw(&mut canvas, [x.round(), y.round()]),
            None => draw_picture(&mut canvas, [x.round(), y.round()], &picture, tapped, region),
        }
    }
    canvas.write(out)
}

fn most(of: impl Iterator<Item = f32>) -> f32 {
    of.fold(0.0, f32::max)
}

fn title(canvas: &mut Canvas, tapped: &Tapped, region: Region) {
    let mut y = MARGIN + TITLE;
    canvas.text([MARGIN, y], &format!("{}, {}", tapped.file, tapped.place), TITLE, Ink::MARK, Align::Left);
    y += line_height(TITLE);
    let signal = format!(
        "signal: {}, {} range   rendering: {}",
        tapped.tap.signal(),
        range_name(tapped.range),
        tapped.rendering
    );
    canvas.text([MARGIN, y], &signal, TEXT, Ink::LABEL, Align::Left);
    y += line_height(TEXT);
    let measured = if region.pixels() == tapped.size.pixels() as u64 {
        format!("frame {}, {}, all of it", tapped.number, tapped.size)
    } else {
        format!(
            "frame {}, {}, region {},{},{},{} (left, top, width, height)",
            tapped.number,
            tapped.size,
            region.x(),
            region.y(),
            region.width(),
            region.height()
        )
    };
    canvas.text([MARGIN, y], &measured, TEXT, Ink::LABEL, Align::Left);
}

fn draw_picture(canvas: &mut Canvas, [x, y]: [f32; 2], picture: &Thumbnail, tapped: &Tapped, region: Region) {
    let top = y + HEAD;
    canvas.text([x, top - 28.0], "Picture", TITLE, Ink::TEXT, Align::Left);
    canvas.image([x as u32, top as u32], picture.size[0], &picture.pixels);
    let below = top + picture.size[1] as f32 + line_height(SMALL) + 4.0;
    canvas.text([x, below], &format!("shown: {}", thumbnail::shown_as(tapped)), SMALL, Ink::LABEL, Align::Left);
    if region.pixels() < tapped.size.pixels() as u64 {
        let scale = [
            picture.size[0] as f32 / tapped.size.width.max(1) as f32,
            picture.size[1] as f32 / tapped.size.height.max(1) as f32,
        ];
        let area = Area::new(
            x + (region.x() as f32 * scale[0]).round(),
            top + (region.y() as f32 * scale[1]).round(),
            (region.width() as f32 * scale[0]).round().max(1.0),
            (region.height() as f32 * scale[1]).round().max(1.0),
        );
        // Black beside white is seen on any picture.
        canvas.outline(area, Ink::MARK);
        canvas.outline(area.inside(-1.0, -1.0, -1.0, -1.0), Ink::BLACK);
    }
}
