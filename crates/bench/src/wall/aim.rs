//! Zooming and moving by pointer and keys. No number of a correction is changed by it.

use egui::{EventFilter, Key, Rect, Response, Ui, Vec2, vec2};

use super::placing::Placing;
use crate::state::{Action, Bench, TileId, Zoom};

/// How far an arrow moves a picture, in points.
const STEP: f32 = 40.0;

/// Drags carry the picture along, the wheel with Ctrl zooms about the pointer, arrows move it where it has the keys.
pub fn steer(
    ui: &Ui,
    bench: &Bench,
    at: TileId,
    (place, placed): (Rect, Placing),
    response: &Response,
    actions: &mut Vec<Action>,
) {
    let aim = bench.wall.aim(at);
    if let Zoom::Times(_) = aim.zoom {
        let by = if response.dragged() { response.drag_delta() } else { -arrows(ui, response) };
        if by != Vec2::ZERO {
            actions.push(Action::Activate(at));
            actions.push(Action::Middle(placed.dragged(aim.middle, by)));
        }
    }
    let by = ui.input(|input| input.zoom_delta());
    if let Some(point) = response.hover_pos()
        && (by - 1.0).abs() > 1e-3
    {
        let aim = placed.zoomed(place, point, by, ui.pixels_per_point());
        actions.extend([Action::Activate(at), Action::Zoom(aim.zoom), Action::Middle(aim.middle)]);
    }
}

/// How far arrows move what is seen, in points.
fn arrows(ui: &Ui, response: &Response) -> Vec2 {
    if !response.has_focus() {
        return Vec2::ZERO;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let pressed = |key: Key| ui.input(|input| input.num_presses(key)) as f32;
    let across = pressed(Key::ArrowRight) - pressed(Key::ArrowLeft);
    vec2(across, pressed(Key::ArrowDown) - pressed(Key::ArrowUp)) * STEP
}
