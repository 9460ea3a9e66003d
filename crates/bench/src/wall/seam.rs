//! The seam between two pictures: it is dragged, or moved by arrows where it has the keys.

use egui::{EventFilter, Key, Rect, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::look::{BLACK, LIGHT, LINE};
use crate::state::Action;

/// How far an arrow moves it, as a share of the tile.
const STEP: f32 = 0.01;
/// How near the pointer has to be, in points.
const REACH: f32 = 5.0;

/// Where a seam lies on a tile, on a whole pixel.
pub fn place(ui: &Ui, tile: Rect, seam: f32) -> f32 {
    let pixels_per_point = ui.pixels_per_point();
    ((tile.left() + seam * tile.width()) * pixels_per_point).round() / pixels_per_point
}

/// Draws the seam over the pictures.
pub fn show(ui: &Ui, tile: Rect, seam: f32, actions: &mut Vec<Action>) {
    let x = place(ui, tile, seam);
    let rect = Rect::from_center_size(pos2(x, tile.center().y), vec2(2.0 * REACH, tile.height()));
    let response = ui.interact(rect, ui.scope_id().with("seam"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::slider(true, f64::from(seam) * 100.0, "seam, percent from the left"));
    let response = response.on_hover_cursor(egui::CursorIcon::ResizeHorizontal);
    if let Some(point) = response.interact_pointer_pos().filter(|_| response.dragged()) {
        actions.push(Action::Seam(Some((point.x - tile.left()) / tile.width().max(1.0))));
    }
    if response.clicked() {
        response.request_focus();
    }
    if response.has_focus() {
        let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
        let pressed = |key: Key| ui.input(|input| input.num_presses(key)) as f32;
        let by = pressed(Key::ArrowRight) - pressed(Key::ArrowLeft);
        if by != 0.0 {
            actions.push(Action::Seam(Some(seam + by * STEP)));
        }
    }
    // Light between dark lines is seen on any picture.
    let painter = ui.painter();
    let line = |offset: f32, colour| {
        painter.vline(x + offset, tile.y_range(), Stroke::new(1.0, colour));
    };
    line(-1.0, BLACK);
    line(1.0, BLACK);
    line(0.0, if response.has_focus() || response.hovered() || response.dragged() { LIGHT } else { LINE });
    let grip = Rect::from_center_size(pos2(x, tile.bottom() - 14.0), vec2(7.0, 20.0));
    painter.rect(grip, 0.0, LIGHT, Stroke::new(1.0, BLACK), egui::StrokeKind::Outside);
}
