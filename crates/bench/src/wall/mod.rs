//! The tiles: each a shot through a candidate, its order over it, its traces under it.

mod aim;
mod bands;
mod codes;
mod heat;
pub mod keys;
mod picture;
mod placing;
mod seam;
#[cfg(test)]
mod tests;
mod tile;
mod traces;
mod verdict;

pub use picture::{Painting, paint_alone};
pub use placing::{Placing, Shape};

use egui::{Event, Key, Rect, Ui, UiBuilder, pos2, vec2};

use crate::pictures::Pictures;
use crate::shell::TRACES;
use crate::state::{Action, Bench, TileId};

/// The key that shows the original while it is held.
pub const HOLD: Key = Key::H;

/// Draws the wall.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    release(ui, bench, actions);
    let [rows, columns] = bench.wall.grid();
    let whole = ui.max_rect();
    let traces = if bench.wall.alone { 0.0 } else { TRACES.min(whole.height()) };
    let cell = vec2(whole.width() / columns as f32, (whole.height() - traces) / rows as f32);
    for (place, at) in seen(bench).into_iter().take(rows * columns).enumerate() {
        let corner =
            pos2(whole.left() + (place % columns) as f32 * cell.x, whole.top() + (place / columns) as f32 * cell.y);
        let mut ui = child(ui, ("tile", at), Rect::from_min_size(corner, cell));
        tile::show(&mut ui, bench, pictures, at, actions);
    }
    if bench.wall.alone {
        return;
    }
    let below = seen(bench);
    let strip = Rect::from_min_max(pos2(whole.left(), whole.bottom() - traces), whole.max);
    let width = strip.width() / below.len().max(1) as f32;
    let is_named = below.len() != columns;
    for (place, at) in below.into_iter().enumerate() {
        let corner = pos2(strip.left() + place as f32 * width, strip.top());
        let mut ui = child(ui, ("traces", at), Rect::from_min_size(corner, vec2(width, traces)));
        if let Some(outcome) = pictures.of(at) {
            traces::show(&mut ui, at, outcome, is_named, bench.playing.plays);
        }
    }
}

/// The tiles whose pictures are seen, the two that a seam joins together in one place.
fn seen(bench: &Bench) -> Vec<TileId> {
    match bench.wall.seam {
        Some(_) => (0..bench.wall.tiles.len().min(2)).collect(),
        None if bench.wall.alone => vec![bench.wall.active],
        None => (0..bench.wall.tiles.len()).collect(),
    }
}

fn child(ui: &mut Ui, name: impl egui::AsIdSalt, rect: Rect) -> Ui {
    let mut ui = ui.new_child(UiBuilder::new().id_salt(name).max_rect(rect));
    ui.set_clip_rect(rect.intersect(ui.clip_rect()));
    ui
}

/// The original goes when its key does, or when the window is left.
pub fn release(ui: &Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let is_over = |event: &Event| match event {
        Event::Key { key, pressed, .. } => *key == HOLD && !pressed,
        Event::WindowFocused(focused) => !focused,
        _ => false,
    };
    if bench.wall.before && ui.input(|input| input.events.iter().any(is_over)) {
        actions.push(Action::Before(false));
    }
}
