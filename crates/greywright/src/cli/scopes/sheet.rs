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
    let boxes: Vec<Parts> = std::iter::once(Parts::of_picture(&picture)).chain(panels.iter().map(Parts::of)).collect();
    let across = match boxes.len() {
        count @ ..=2 => count,
        3..=4 => 2,
        _ => ACROSS,
    };
    // Frames stand in columns and rows, whatever their figures take beside them.
    let columns: Vec<Parts> = (0..across).map(|at| Parts::around(boxes.iter().skip(at).step_by(across))).collect();
    let rows: Vec<Parts> = boxes.chunks(across).map(|row| Parts::around(row.iter())).collect();
    let head = line_height(TITLE) + 2.0 * line_height(TEXT) + 12.0;
    let width = 2.0 * MARGIN + columns.iter().map(Parts::width).sum::<f32>() + GAP * (columns.len() - 1) as f32;
    let height = 2.0 * MARGIN + head + rows.iter().map(|row| GAP + row.height()).sum::<f32>();
    let mut canvas = Canvas::new(width.ceil() as u32, height.ceil() as u32, Ink::GROUND)?;
    title(&mut canvas, tapped, region);
    let mut y = MARGIN + head;
    for (row, in_row) in rows.iter().enumerate() {
        let mut x = MARGIN;
        for (column, in_column) in columns.iter().enumerate() {
            let at = [(x + in_column.left).round(), (y + GAP + in_row.top).round()];
            match (row * across + column).checked_sub(1) {
                None => draw_picture(&mut canvas, at, &picture, tapped, region),
                Some(panel) => panels.get(panel).into_iter().for_each(|panel| panel.draw(&mut canvas, at)),
            }
            x += in_column.width() + GAP;
        }
        y += in_row.height() + GAP;
    }
    canvas.write(out)
}

/// The size of a frame, and what stands around it.
#[derive(Clone, Copy)]
struct Parts {
    left: f32,
    top: f32,
    right: f32,
    bottom: f32,
    inner: [f32; 2],
}

impl Parts {
    fn of(panel: &Panel) -> Parts {
        let [left, top, right, bottom] = panel.margins();
        Parts { left, top, right, bottom, inner: panel.size() }
    }

    fn of_picture(picture: &Thumbnail) -> Parts {
        let [width, height] = picture.size.map(|side| side as f32);
        Parts { left: 0.0, top: HEAD, right: 0.0, bottom: 30.0, inner: [width.max(360.0), height] }
    }

    /// What holds every one of several.
    fn around<'a>(all: impl Iterator<Item = &'a Parts>) -> Parts {
        let none = Parts { left: 0.0, top: 0.0, right: 0.0, bottom: 0.0, inner: [0.0; 2] };
        // The inner sizes differ: the space on the right and below is that of the widest and the highest.
        all.fold(none, |a, b| {
            let far = |inner: f32, margin: f32, other: f32, other_margin: f32| {
                let most = inner.max(other);
                (most, (inner + margin).max(other + other_margin) - most)
            };
            let (width, right) = far(a.inner[0], a.right, b.inner[0], b.right);
            let (height, bottom) = far(a.inner[1], a.bottom, b.inner[1], b.bottom);
            Parts { left: a.left.max(b.left), top: a.top.max(b.top), right, bottom, inner: [width, height] }
        })
    }

    fn width(&self) -> f32 {
        self.left + self.inner[0] + self.right
    }

    fn height(&self) -> f32 {
        self.top + self.inner[1] + self.bottom
    }
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

fn draw_picture(canvas: &mut Canvas, [x, top]: [f32; 2], picture: &Thumbnail, tapped: &Tapped, region: Region) {
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
