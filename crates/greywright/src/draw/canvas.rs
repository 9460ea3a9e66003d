//! A canvas: an opaque picture in sRGB that is drawn on.

use std::path::Path;

use frame::{Channels, Frame, Range, Size};
use media::{About, Depth, Format, layout_for};
use tiny_skia::{FillRule, Mask, Paint, PathBuilder, Pixmap, PremultipliedColorU8, Rect, StrokeDash, Transform};

use super::text::{self, Align};
use super::{Area, Ink};
use crate::cli::failure::Failure;

/// The longest side of a canvas in pixels.
const LONGEST: u32 = 16_384;

/// How a line is drawn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stroke {
    /// Its colour.
    pub ink: Ink,
    /// Its width in pixels.
    pub width: f32,
    /// Pixels drawn and left out in turn; a whole line without.
    pub dash: Option<[f32; 2]>,
    /// 0 to 1.
    pub opacity: f32,
}

impl Stroke {
    /// A whole line.
    pub fn new(ink: Ink, width: f32) -> Stroke {
        Stroke { ink, width, dash: None, opacity: 1.0 }
    }

    /// The same line, dashed.
    #[must_use]
    pub fn dashed(self, drawn: f32, left_out: f32) -> Stroke {
        Stroke { dash: Some([drawn, left_out]), ..self }
    }

    /// The same line, let through.
    #[must_use]
    pub fn faint(self, opacity: f32) -> Stroke {
        Stroke { opacity, ..self }
    }
}

/// An opaque picture in sRGB.
pub struct Canvas {
    pixmap: Pixmap,
}

impl Canvas {
    /// A canvas of one colour.
    ///
    /// # Errors
    /// A side of no pixels, or of more than 16384.
    pub fn new(width: u32, height: u32, ground: Ink) -> Result<Canvas, Failure> {
        let fits = (1..=LONGEST).contains(&width) && (1..=LONGEST).contains(&height);
        let pixmap = if fits { Pixmap::new(width, height) } else { None };
        let Some(mut pixmap) = pixmap else {
            return Err(Failure::work(format!(
                "a picture of {width} x {height} cannot be drawn; 1 to {LONGEST} pixels a side are possible, so ask for less"
            )));
        };
        pixmap.fill(ground.skia(1.0));
        Ok(Canvas { pixmap })
    }

    /// Fills a rectangle.
    pub fn fill(&mut self, area: Area, ink: Ink) {
        if let Some(rect) = Rect::from_xywh(area.x, area.y, area.width, area.height) {
            let paint = Paint { anti_alias: false, ..paint(ink, 1.0) };
            self.pixmap.fill_rect(rect, &paint, Transform::identity(), None);
        }
    }

    /// A rectangle's outline, one pixel wide, just outside it.
    pub fn outline(&mut self, area: Area, ink: Ink) {
        let Area { x, y, width, height } = area;
        self.fill(Area::new(x - 1.0, y - 1.0, width + 2.0, 1.0), ink);
        self.fill(Area::new(x - 1.0, area.bottom(), width + 2.0, 1.0), ink);
        self.fill(Area::new(x - 1.0, y, 1.0, height), ink);
        self.fill(Area::new(area.right(), y, 1.0, height), ink);
    }

    /// A line through points in pixels; what leaves `clip` is not drawn. A point that is not finite breaks it.
    pub fn line(&mut self, points: &[[f32; 2]], stroke: Stroke, clip: Option<Area>) {
        let mask = clip.and_then(|area| self.mask(area));
        let dash = stroke.dash.and_then(|[drawn, left_out]| StrokeDash::new(vec![drawn, left_out], 0.0));
        let form = tiny_skia::Stroke {
            width: stroke.width,
            dash,
            line_join: tiny_skia::LineJoin::Round,
            ..tiny_skia::Stroke::default()
        };
        let paint = paint(stroke.ink, stroke.opacity);
        for part in points.split(|[x, y]| !x.is_finite() || !y.is_finite()) {
            if let Some(path) = path(part) {
                self.pixmap.stroke_path(&path, &paint, &form, Transform::identity(), mask.as_ref());
            }
        }
    }

    /// Text whose baseline stands at a point. Returns its width.
    pub fn text(&mut self, at: [f32; 2], words: &str, size: f32, ink: Ink, align: Align) -> f32 {
        text::draw(&mut self.pixmap, at, words, size, ink, align);
        text::width(words, size)
    }

    /// As [`Canvas::text`], with a thin black edge, so that it is read over traces and hides little of them.
    pub fn text_over(&mut self, [x, y]: [f32; 2], words: &str, size: f32, ink: Ink, align: Align) -> f32 {
        for (dx, dy) in
            [(-1.0, -1.0), (0.0, -1.0), (1.0, -1.0), (-1.0, 0.0), (1.0, 0.0), (-1.0, 1.0), (0.0, 1.0), (1.0, 1.0)]
        {
            self.text([x + dx, y + dy], words, size, Ink::BLACK, align);
        }
        self.text([x, y], words, size, ink, align)
    }

    /// Puts sRGB pixels, row by row from the upper left, one to one; what leaves the canvas is cut.
    pub fn image(&mut self, at: [u32; 2], width: u32, pixels: &[Ink]) {
        self.each(at, width, pixels, |_, ink| ink);
    }

    /// As [`Canvas::image`], but of what is there and what comes the brighter stays, channel by channel: traces over a grid.
    pub fn lighten(&mut self, at: [u32; 2], width: u32, pixels: &[Ink]) {
        self.each(at, width, pixels, |Ink(under), Ink(over)| {
            Ink([0, 1, 2].map(|channel| under[channel].max(over[channel])))
        });
    }

    fn each(&mut self, [x, y]: [u32; 2], width: u32, pixels: &[Ink], mix: impl Fn(Ink, Ink) -> Ink) {
        let (across, down) = (self.pixmap.width(), self.pixmap.height());
        let target = self.pixmap.pixels_mut();
        for (row, line) in (y..down).zip(pixels.chunks(width.max(1) as usize)) {
            let from = row as usize * across as usize;
            for (column, ink) in (x..across).zip(line) {
                let Some(pixel) = target.get_mut(from + column as usize) else { return };
                let Ink([r, g, b]) = mix(Ink([pixel.red(), pixel.green(), pixel.blue()]), *ink);
                if let Some(made) = PremultipliedColorU8::from_rgba(r, g, b, 255) {
                    *pixel = made;
                }
            }
        }
    }

    /// As a file of the path's ending, 8 bits of sRGB.
    ///
    /// # Errors
    /// A folder that cannot be written to, a full disk.
    pub fn write(&self, path: &Path) -> Result<(), Failure> {
        Ok(media::write(path, &self.frame()?, &about())?)
    }

    /// The bytes of a PNG file, for a report that holds its pictures.
    ///
    /// # Errors
    /// None that a canvas can cause; the encoder's own.
    pub fn png(&self) -> Result<Vec<u8>, Failure> {
        Ok(media::encode(Path::new("canvas.png"), &self.frame()?, &about())?.to_bytes())
    }

    fn frame(&self) -> Result<Frame, Failure> {
        let layout = layout_for(Format::Png, Depth::Eight, Channels::Rgb)?;
        let size = Size::new(self.pixmap.width(), self.pixmap.height());
        let signal = |code: u8| f32::from(code) / 255.0;
        let pixels = self.pixmap.pixels().iter();
        let pixels: Vec<_> =
            pixels.map(|pixel| [signal(pixel.red()), signal(pixel.green()), signal(pixel.blue()), 1.0]).collect();
        Ok(Frame::from_pixels(&pixels, size, layout, Range::Full))
    }

    fn mask(&self, area: Area) -> Option<Mask> {
        let mut mask = Mask::new(self.pixmap.width(), self.pixmap.height())?;
        let rect = Rect::from_xywh(area.x, area.y, area.width, area.height)?;
        mask.fill_path(&PathBuilder::from_rect(rect), FillRule::Winding, false, Transform::identity());
        Some(mask)
    }
}

fn about() -> About {
    About { encoding: Some(("sRGB".to_string(), "made so".to_string())), ..About::default() }
}

fn paint(ink: Ink, opacity: f32) -> Paint<'static> {
    let mut paint = Paint { anti_alias: true, ..Paint::default() };
    paint.set_color(ink.skia(opacity));
    paint
}

fn path(points: &[[f32; 2]]) -> Option<tiny_skia::Path> {
    let (first, rest) = points.split_first()?;
    let mut builder = PathBuilder::new();
    builder.move_to(first[0], first[1]);
    rest.iter().for_each(|[x, y]| builder.line_to(*x, *y));
    builder.finish()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_drawn_stays_inside_its_clip_and_the_canvas() {
        let mut canvas = Canvas::new(20, 10, Ink::BLACK).unwrap();
        let clip = Area::new(5.0, 0.0, 5.0, 10.0);
        canvas.line(&[[-50.0, 4.5], [70.0, 4.5]], Stroke::new(Ink::MARK, 1.0), Some(clip));
        let row: Vec<u8> = canvas.pixmap.pixels()[80..100].iter().map(|pixel| pixel.red()).collect();
        assert_eq!((row[4], row[5], row[9], row[10]), (0, 255, 255, 0));
        canvas.image([18, 9], 3, &[Ink::TEXT; 6]);
        assert_eq!(canvas.pixmap.pixels()[199].green(), 216);
        canvas.text([-4.0, 3.0], "beyond", text::TEXT, Ink::TEXT, Align::Left);
        assert!(canvas.png().unwrap().starts_with(b"\x89PNG"));
    }

    #[test]
    fn a_canvas_has_pixels_and_not_too_many() {
        for (width, height) in [(0, 5), (5, 20_000)] {
            let message = Canvas::new(width, height, Ink::BLACK).err().unwrap().message;
            assert!(message.contains("16384"), "{message}");
        }
    }
}
