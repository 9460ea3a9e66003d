//! Where everything stands in the window.

mod layout;

use egui::{Rect, Ui, UiBuilder};

pub use layout::{Places, TRACES, layout};

use crate::commands;
use crate::pictures::Pictures;
use crate::state::{Action, Bench};
use crate::{entry, head, rails, readings, sheets, shots, transport, wall};

/// Draws the whole window and adds what is asked for in it.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    commands::keys(ui, bench, actions);
    transport::keep_awake(ui, bench);
    let whole = ui.max_rect();
    if bench.wall.alone {
        inside(ui, whole, "wall", |ui| wall::show(ui, bench, pictures, actions));
        sheet(ui, whole.center().y, bench, pictures, actions);
        return;
    }
    let places = layout(whole, bench.wall.grid());
    let places = if bench.opened.is_some() { places.with_scales_open() } else { places };
    let places = rails::height(ui).map_or(places, |height| places.with_rails_of(height));
    let Places { head, wall, transport, rails, shots, readings, entry } = places;
    inside(ui, head, "head", |ui| head::show(ui, bench, pictures, actions));
    inside(ui, wall, "wall", |ui| wall::show(ui, bench, pictures, actions));
    // Without a project there are no pictures to leave in sight.
    let top = if bench.project().is_some() { transport.top() } else { wall.top() };
    if sheet(ui, top, bench, pictures, actions) {
        return;
    }
    inside(ui, transport, "transport", |ui| transport::show(ui, bench, pictures, actions));
    inside(ui, rails, "rails", |ui| rails::show(ui, bench, pictures, actions));
    inside(ui, shots, "shots", |ui| shots::show(ui, bench, pictures, actions));
    inside(ui, readings, "readings", |ui| readings::show(ui, bench, pictures, actions));
    inside(ui, entry, "entry", |ui| entry::show(ui, bench, actions));
}

/// Draws the sheet that lies over the window from `top` on; what it lies over is not there for as long.
fn sheet(ui: &mut Ui, top: f32, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) -> bool {
    let part = sheets::part(ui.max_rect(), top);
    inside(ui, part, "sheet", |ui| sheets::show(ui, bench, pictures, actions));
    bench.sheet.is_some()
}

/// Draws something in a part of the window, and nowhere else.
fn inside(ui: &mut Ui, part: Rect, name: &str, draw: impl FnOnce(&mut Ui)) {
    let mut ui = ui.new_child(UiBuilder::new().id_salt(name).max_rect(part));
    ui.set_clip_rect(part);
    draw(&mut ui);
}
