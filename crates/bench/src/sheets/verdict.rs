//! All verdict figures of the active tile's shot: a row a figure, a column a candidate, as `compare` prints them.

use egui::{Align, Button, Label, Layout, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};
use session::verdict::Extent;
use session::verdict::lines::WORDS;

use super::SheetUi;
use crate::look::{GAP, LABEL, LINE, figure, label};
use crate::state::{Action, Figures, OnVerdict};

/// The height of a row.
const HEIGHT: f32 = 18.0;
/// The widths of what a figure is and of a column.
const TITLE: f32 = 300.0;
const COLUMN: f32 = 150.0;

/// Draws what is measured, the table, and how it is known.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let bench = sheet.bench;
    let known = bench.verdicts.figures.as_ref();
    let is_now = known.and_then(|known| known.as_ref().ok()).is_some_and(|known| bench.figures_are_of_now(known));
    let words = match known {
        Some(Ok(_)) if !is_now => "as of before: something has changed since",
        Some(Ok(figures)) => figures.head.first().map_or("", String::as_str),
        _ => "",
    };
    sheet.title(ui, "verdict", words, Some("Escape leaves"));
    ui.horizontal(|ui| {
        let mut press = |ui: &mut Ui, words: &str, action: OnVerdict| {
            if ui.add(Button::new(label(words))).clicked() {
                sheet.actions.push(Action::Verdict(action));
            }
        };
        let Some(running) = &bench.verdicts.running else {
            press(ui, "measure again", OnVerdict::Ask(Extent::All));
            ui.label(label("a figure that cannot be told from what it is held against reads 'same'"));
            return;
        };
        press(ui, "stop", OnVerdict::Stop);
        let [done, of] = running.parts;
        ui.add(Label::new(label(format!("measuring {}, {done} of {of}", running.words))).truncate());
    });
    match known {
        Some(Ok(figures)) => table(ui, figures, is_now),
        Some(Err(words)) => {
            ui.label(figure(words));
        }
        None => {}
    }
}

fn table(ui: &mut Ui, figures: &Figures, is_now: bool) {
    // All columns that there can be fit beside each other, so that their heads stay when the rows are scrolled.
    let columns = figures.columns.len().max(1) as f32;
    let column = ((ui.available_width() - TITLE) / columns - GAP).min(COLUMN);
    ui.spacing_mut().item_spacing = vec2(GAP, 0.0);
    ui.horizontal(|ui| {
        cell(ui, TITLE, |ui| ui.label(label("")));
        for (name, order) in &figures.columns {
            cell(ui, column, |ui| ui.add(Label::new(label(name)).truncate()).on_hover_text(order));
        }
    });
    let top = ui.cursor().top();
    ui.painter().hline(ui.max_rect().x_range(), top, egui::Stroke::new(1.0, LINE));
    ScrollArea::vertical().id_salt("verdict").auto_shrink(false).show(ui, |ui| {
        for row in &figures.rows {
            ui.horizontal(|ui| {
                cell(ui, TITLE, |ui| {
                    let title = ui.add(Label::new(label(format!("{}, {}", row.title, row.unit))).truncate());
                    match meaning(&row.title) {
                        Some(words) => title.on_hover_text(words),
                        None => title,
                    }
                });
                for of in &row.cells {
                    cell(ui, column, |ui| {
                        let text = figure(of.read());
                        let text = if of.same || !is_now { text.color(LABEL) } else { text };
                        let shown = ui.add(Label::new(text).truncate());
                        if of.same { shown.on_hover_text(&of.text) } else { shown }
                    });
                }
            });
        }
        ui.add_space(GAP);
        for words in &figures.head {
            ui.add(Label::new(label(words)).wrap());
        }
    });
}

/// What a figure is, in a sentence or two.
fn meaning(title: &str) -> Option<&'static str> {
    let begins = |(name, _): &&(&str, &str)| title.starts_with(name.split(',').next().unwrap_or(name));
    let found = WORDS.iter().find(begins).map(|(_, words)| *words);
    found.or_else(|| WORDS.iter().find(|(name, _)| name.contains(title)).map(|(_, words)| *words))
}

/// Draws something in a cell of a width.
fn cell(ui: &mut Ui, width: f32, draw: impl FnOnce(&mut Ui) -> egui::Response) {
    let corner = ui.cursor().min;
    let rect = Rect::from_min_max(corner, pos2(corner.x + width, corner.y + HEIGHT));
    let _ = ui.allocate_space(vec2(width, HEIGHT));
    let layout = Layout::left_to_right(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().id_salt(corner.x as i32).max_rect(rect).layout(layout));
    ui.set_clip_rect(rect.intersect(ui.clip_rect()));
    draw(&mut ui);
}
