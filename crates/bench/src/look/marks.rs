//! Marks that need no hue: corner ticks for what is chosen, hatching for what is stopped.

use egui::{Painter, Pos2, Rect, Stroke, vec2};

use super::LIGHT;

/// Light ticks at the corners of what is chosen.
pub fn corner_ticks(painter: &Painter, rect: Rect) {
    const LENGTH: f32 = 9.0;
    let stroke = Stroke::new(1.5, LIGHT);
    let corners = [
        (rect.left_top(), vec2(1.0, 1.0)),
        (rect.right_top(), vec2(-1.0, 1.0)),
        (rect.left_bottom(), vec2(1.0, -1.0)),
        (rect.right_bottom(), vec2(-1.0, -1.0)),
    ];
    for (corner, inward) in corners {
        painter.line_segment([corner, corner + vec2(LENGTH * inward.x, 0.0)], stroke);
        painter.line_segment([corner, corner + vec2(0.0, LENGTH * inward.y)], stroke);
    }
}

/// Slanting lines over a rectangle: what is passed by or cannot be.
pub fn hatch(painter: &Painter, rect: Rect, stroke: Stroke) {
    const STEP: f32 = 6.0;
    let painter = painter.with_clip_rect(rect.intersect(painter.clip_rect()));
    let mut x = rect.left() - rect.height();
    while x < rect.right() {
        painter.line_segment([Pos2::new(x, rect.bottom()), Pos2::new(x + rect.height(), rect.top())], stroke);
        x += STEP;
    }
}
