//! A plot: a frame with a scale along each side, and what is drawn within.

use super::text::{self, Align, SMALL, TITLE, line_height};
use super::{Area, Canvas, Ink, Scale, Stroke};

/// Pixels between figures and the frame.
const GAP: f32 = 7.0;
/// Pixels of a tick outside the frame.
const TICK: f32 = 4.0;

/// A plot that is not drawn yet.
#[derive(Debug, Clone, PartialEq)]
pub struct Plot {
    /// Its name, above the frame.
    pub title: String,
    /// What is said beside its name, smaller.
    pub note: String,
    /// Along the lower side.
    pub across: Scale,
    /// Along the left side.
    pub up: Scale,
    /// Along the right side: other figures for the same height, as shares of it.
    pub right: Option<Scale>,
}

/// A plot's frame on a canvas: what places values.
#[derive(Debug, Clone, PartialEq)]
pub struct Drawn {
    /// The area within the frame.
    pub area: Area,
    across: Scale,
    up: Scale,
}

impl Plot {
    /// A plot with scales on the lower and the left side.
    pub fn new(title: impl Into<String>, across: Scale, up: Scale) -> Plot {
        Plot { title: title.into(), note: String::new(), across, up, right: None }
    }

    /// What a plot needs around its frame for names and figures: left, top, right, bottom.
    pub fn margins(&self) -> [f32; 4] {
        let widest = |scale: &Scale| {
            let widths = scale.ticks.iter().map(|(_, label)| text::width(label, SMALL));
            widths.fold(0.0f32, f32::max).ceil() + GAP + TICK
        };
        let right = self.right.as_ref().map_or(14.0, |scale| widest(scale).max(14.0));
        let top = line_height(TITLE) + line_height(SMALL) + 4.0;
        let named = if self.across.name.is_empty() { 0.0 } else { line_height(SMALL) };
        let figures = if self.across.ticks.is_empty() { 0.0 } else { line_height(SMALL) + TICK };
        [widest(&self.up).max(14.0), top, right, figures + named + 4.0]
    }

    /// Draws name, scales, grid and frame into an area, margins included.
    pub fn draw(&self, canvas: &mut Canvas, area: Area) -> Drawn {
        let [left, top, right, bottom] = self.margins();
        self.draw_around(canvas, area.inside(left, top, right, bottom))
    }

    /// Draws all of it around an area on whole pixels that the frame shall enclose.
    pub fn draw_around(&self, canvas: &mut Canvas, inner: Area) -> Drawn {
        let whole = |v: f32| v.round();
        let inner = Area::new(whole(inner.x), whole(inner.y), whole(inner.width), whole(inner.height));
        let drawn = Drawn { area: inner, across: self.across.clone(), up: self.up.clone() };
        canvas.fill(inner, Ink::BLACK);
        self.figures_across(canvas, &drawn);
        self.figures_up(canvas, &drawn);
        canvas.outline(inner, Ink::FRAME);
        let small = line_height(SMALL);
        let name = inner.y - small - 10.0;
        let end = inner.x + canvas.text([inner.x, name], &self.title, TITLE, Ink::TEXT, Align::Left);
        canvas.text([end + 12.0, name], &self.note, SMALL, Ink::LABEL, Align::Left);
        canvas.text([inner.x, inner.y - 8.0], &self.up.name, SMALL, Ink::LABEL, Align::Left);
        if let Some(right) = &self.right {
            canvas.text([inner.right(), inner.y - 8.0], &right.name, SMALL, Ink::LABEL, Align::Right);
        }
        let below = if self.across.ticks.is_empty() { 0.0 } else { small + TICK };
        canvas.text(
            [inner.right(), inner.bottom() + below + small - 2.0],
            &self.across.name,
            SMALL,
            Ink::LABEL,
            Align::Right,
        );
        drawn
    }

    fn figures_across(&self, canvas: &mut Canvas, drawn: &Drawn) {
        let inner = drawn.area;
        let mut free = f32::MIN;
        for (value, label) in &self.across.ticks {
            let x = drawn.x(*value);
            canvas.fill(Area::new(x.floor(), inner.y, 1.0, inner.height), Ink::GRID);
            canvas.fill(Area::new(x.floor(), inner.bottom(), 1.0, TICK), Ink::FRAME);
            let half = text::width(label, SMALL) / 2.0;
            // A figure that would touch the one before it is left out; its line stays.
            if x - half >= free {
                canvas.text(
                    [x, inner.bottom() + TICK + line_height(SMALL) - 3.0],
                    label,
                    SMALL,
                    Ink::LABEL,
                    Align::Middle,
                );
                free = x + half + GAP;
            }
        }
    }

    fn figures_up(&self, canvas: &mut Canvas, drawn: &Drawn) {
        let inner = drawn.area;
        let third = (SMALL * 0.35).round();
        let mut free = f32::MAX;
        for (value, label) in &self.up.ticks {
            let y = drawn.y(*value);
            canvas.fill(Area::new(inner.x, y.floor(), inner.width, 1.0), Ink::GRID);
            canvas.fill(Area::new(inner.x - TICK, y.floor(), TICK, 1.0), Ink::FRAME);
            if y + SMALL * 0.5 <= free {
                canvas.text([inner.x - GAP, y + third], label, SMALL, Ink::LABEL, Align::Right);
                free = y - SMALL * 0.5;
            }
        }
        let mut free = f32::MAX;
        for (value, label) in
            self.right.iter().flat_map(|right| right.ticks.iter().map(|tick| (right.share(tick.0), &tick.1)))
        {
            let y = inner.bottom() - value as f32 * inner.height;
            if y < inner.y - 1.0 || y > inner.bottom() + 1.0 {
                continue;
            }
            canvas.fill(Area::new(inner.right(), y.floor(), TICK, 1.0), Ink::FRAME);
            if y + SMALL * 0.5 <= free {
                canvas.text([inner.right() + GAP, y + third], label, SMALL, Ink::LABEL, Align::Left);
                free = y - SMALL * 0.5;
            }
        }
    }
}

impl Drawn {
    /// The column of a value of the lower scale.
    pub fn x(&self, value: f64) -> f32 {
        self.area.x + (self.across.share(value) as f32) * self.area.width
    }

    /// The row of a value of the left scale.
    pub fn y(&self, value: f64) -> f32 {
        self.area.bottom() - (self.up.share(value) as f32) * self.area.height
    }

    /// The place of a point.
    pub fn place(&self, [across, up]: [f64; 2]) -> [f32; 2] {
        [self.x(across), self.y(up)]
    }

    /// A line through points of the scales, within the frame. A point that is not finite breaks it.
    pub fn line(&self, canvas: &mut Canvas, points: &[[f64; 2]], stroke: Stroke) {
        let points: Vec<_> = points.iter().map(|point| self.place(*point)).collect();
        canvas.line(&points, stroke, Some(self.area));
    }

    /// A line at a value of the left scale from side to side.
    pub fn level(&self, canvas: &mut Canvas, value: f64, stroke: Stroke) {
        let y = self.y(value).floor() + 0.5;
        canvas.line(&[[self.area.x, y], [self.area.right(), y]], stroke, Some(self.area));
    }

    /// A line at a value of the lower scale from top to bottom.
    pub fn upright(&self, canvas: &mut Canvas, value: f64, stroke: Stroke) {
        let x = self.x(value).floor() + 0.5;
        canvas.line(&[[x, self.area.y], [x, self.area.bottom()]], stroke, Some(self.area));
    }

    /// Words inside the frame at a point of the scales, moved by so many pixels.
    pub fn words(&self, canvas: &mut Canvas, at: [f64; 2], moved: [f32; 2], words: &str, align: Align) {
        let [x, y] = self.place(at);
        canvas.text_over([x + moved[0], y + moved[1]], words, SMALL, Ink::LABEL, align);
    }

    /// What the lines are, in the upper right corner of the frame: a piece of each with its name.
    pub fn key(&self, canvas: &mut Canvas, lines: &[(Stroke, &str)]) {
        let widest = lines.iter().map(|(_, name)| text::width(name, SMALL)).fold(0.0f32, f32::max);
        let x = self.area.right() - widest - 44.0;
        let height = lines.len() as f32 * line_height(SMALL);
        canvas.fill(Area::new(x - 8.0, self.area.y + 4.0, widest + 48.0, height + 8.0), Ink::BLACK);
        for (at, (stroke, name)) in lines.iter().enumerate() {
            let y = self.area.y + 8.0 + (at as f32 + 0.5) * line_height(SMALL);
            canvas.line(&[[x, y], [x + 28.0, y]], *stroke, None);
            canvas.text([x + 36.0, y + SMALL * 0.35], name, SMALL, Ink::TEXT, Align::Left);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_lie_where_the_scales_say() {
        let plot = Plot::new("response", Scale::round("in", 0.0, 1.0), Scale::round("out", -1.0, 1.0));
        let mut canvas = Canvas::new(300, 200, Ink::GROUND).unwrap();
        let drawn = plot.draw_around(&mut canvas, Area::new(50.0, 40.0, 200.0, 100.0));
        assert_eq!(drawn.place([0.0, -1.0]), [50.0, 140.0]);
        assert_eq!(drawn.place([0.5, 0.0]), [150.0, 90.0]);
        let [left, top, right, bottom] = plot.margins();
        assert_eq!(plot.draw(&mut canvas, Area::new(0.0, 0.0, 300.0, 200.0)).area.x, left);
        assert!(top > 30.0 && right > 0.0 && bottom > 30.0);
    }
}
