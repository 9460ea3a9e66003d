//! What lies over the lower part of the window until it is done with. The pictures above stay seen.

mod commands;
mod leaving;
mod monitor;
mod new_project;
mod open;
mod outside;
mod paths;
mod plan;
mod recovery;
mod renders;
mod steps;
#[cfg(test)]
mod tests;
mod tile;
mod trust;
mod verdict;

pub use renders::in_head;

use std::mem::{Discriminant, discriminant};

use egui::{Align, Id, Layout, Rect, ScrollArea, Stroke, Ui, UiBuilder};

use crate::look::{GAP, GROUND, LINE, figure, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench, Sheet};

/// Draws what lies over the window into its part of it.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    let now = bench.sheet.as_ref().map(discriminant);
    let id = Id::unique("sheet that was shown last");
    let before: Option<Discriminant<Sheet>> = ui.data(|data| data.get_temp(id)).unwrap_or(None);
    ui.data_mut(|data| data.insert_temp(id, now));
    let Some(sheet) = &bench.sheet else { return };
    let part = ui.max_rect();
    ui.painter().rect_filled(part, 0.0, GROUND);
    ui.painter().hline(part.x_range(), part.top(), Stroke::new(1.0, LINE));
    let inner = part.shrink2(egui::vec2(2.0 * GAP, GAP));
    let mut ui = ui.new_child(UiBuilder::new().id_salt("sheet").max_rect(inner));
    let mut sheet_ui = SheetUi { fresh: before != now, bench, actions };
    match sheet {
        Sheet::Commands { search } => commands::show(&mut ui, search, &mut sheet_ui),
        Sheet::Steps => steps::show(&mut ui, &mut sheet_ui),
        Sheet::Recovery => recovery::show(&mut ui, &mut sheet_ui),
        Sheet::Open { typed } => open::show(&mut ui, typed, &mut sheet_ui),
        Sheet::Renders => renders::show(&mut ui, &mut sheet_ui),
        Sheet::NewProject => new_project::show(&mut ui, &mut sheet_ui),
        Sheet::Leaving => leaving::show(&mut ui, &mut sheet_ui),
        Sheet::Tile => tile::show(&mut ui, &mut sheet_ui),
        Sheet::Outside { typed, encoding } => outside::show(&mut ui, typed, encoding, &mut sheet_ui),
        Sheet::Monitor { typed } => monitor::show(&mut ui, typed, &mut sheet_ui),
        Sheet::Plan => plan::show(&mut ui, pictures, &mut sheet_ui),
        Sheet::Trust => trust::show(&mut ui, pictures, &mut sheet_ui),
        Sheet::Verdict => verdict::show(&mut ui, &mut sheet_ui),
    }
}

/// What every sheet draws with.
struct SheetUi<'a> {
    /// Whether it was not there before: what is to be typed in gets the keys then.
    fresh: bool,
    bench: &'a Bench,
    actions: &'a mut Vec<Action>,
}

impl SheetUi<'_> {
    /// The first line: what it is, what it is for, how it goes. What is typed in below it can take its name from it.
    fn title(&self, ui: &mut Ui, title: &str, words: &str, leave: Option<&str>) -> Id {
        let line = ui.horizontal(|ui| {
            let name = ui.label(figure(title).strong()).id;
            ui.add(egui::Label::new(label(words)).truncate());
            if let Some(leave) = leave {
                ui.with_layout(Layout::right_to_left(Align::Center), |ui| ui.label(label(leave)));
            }
            name
        });
        ui.add_space(GAP);
        line.inner
    }

    /// A row that can be pressed, with something at its right end.
    fn row(&mut self, ui: &mut Ui, words: &str, right: &str, able: bool, width: f32) -> bool {
        let button = egui::Button::new(figure(words)).frame_when_inactive(false).truncate();
        let button = if right.is_empty() { button } else { button.right_text(label(right)) };
        ui.add_enabled(able, button.min_size(egui::vec2(width, crate::look::ROW))).clicked()
    }

    /// Rows in as many columns as fit, read down.
    fn columns<T>(&mut self, ui: &mut Ui, items: &[T], widest: f32, mut row: impl FnMut(&mut Self, &mut Ui, &T, f32)) {
        ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
            let whole = ui.available_width();
            let columns = ((whole / widest).floor().max(1.0) as usize).min(items.len().max(1));
            let each = items.len().div_ceil(columns);
            let width = (whole / columns as f32).min(widest) - 2.0 * GAP;
            ui.horizontal_top(|ui| {
                for (number, part) in items.chunks(each.max(1)).enumerate() {
                    ui.push_id(number, |ui| {
                        ui.vertical(|ui| {
                            ui.set_width(width);
                            part.iter().for_each(|item| row(self, ui, item, width));
                        });
                    });
                    ui.add_space(GAP);
                }
            });
        });
    }
}

/// The part of the window that a sheet lies over, below the pictures.
pub fn part(window: Rect, top: f32) -> Rect {
    const LEAST: f32 = 300.0;
    Rect::from_min_max(egui::pos2(window.left(), top.min(window.bottom() - LEAST)), window.max)
}
