//! All verdict figures of the active tile's shot, in place of the probes: a row a figure, a column a candidate.

use egui::{Align, Button, Label, Layout, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};
use session::verdict::Extent;
use session::verdict::lines::WORDS;

use crate::look::{GAP, LABEL, LINE, figure, label};
use crate::state::{Action, Bench, Figures, OnVerdict};

/// The height of a row.
const HEIGHT: f32 = 18.0;
/// The widths of what a figure is and of a column.
const TITLE: f32 = 250.0;
const COLUMN: f32 = 132.0;

/// Draws how it is known, then the table.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let known = bench.verdicts.figures.as_ref();
    let is_now = known.and_then(|known| known.as_ref().ok()).is_some_and(|known| bench.figures_are_of_now(known));
    head(ui, bench, is_now, actions);
    match known {
        Some(Ok(figures)) => table(ui, figures, is_now),
        Some(Err(words)) => {
            ui.label(figure(words));
        }
        None => {
            ui.label(label("no figures yet"));
        }
    }
}

/// What is measured, or whether it still holds; on the right what can be done.
fn head(ui: &mut Ui, bench: &Bench, is_now: bool, actions: &mut Vec<Action>) {
    let mut press = |ui: &mut Ui, words: &str, hint: &str, action: OnVerdict| {
        if ui.add(Button::new(label(words))).on_hover_text(hint).clicked() {
            actions.push(Action::Verdict(action));
        }
    };
    ui.horizontal(|ui| {
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            press(ui, "probes", "the probes again (M)", OnVerdict::Open(false));
            let Some(running) = &bench.verdicts.running else {
                press(ui, "measure again", "all figures of the active picture's shot", OnVerdict::Ask(Extent::All));
                let words = match &bench.verdicts.figures {
                    Some(Ok(_)) if !is_now => "as of before: something has changed since",
                    Some(Ok(figures)) => figures.head.first().map_or("", String::as_str),
                    _ => "",
                };
                ui.with_layout(Layout::left_to_right(Align::Center), |ui| ui.add(Label::new(label(words)).truncate()));
                return;
            };
            press(ui, "stop", "Escape", OnVerdict::Stop);
            let [done, of] = running.parts;
            let words = format!("measuring {}, {done} of {of}", running.words);
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| ui.add(Label::new(label(words)).truncate()));
        });
    });
}

fn table(ui: &mut Ui, figures: &Figures, is_now: bool) {
    ScrollArea::both().id_salt("verdict").auto_shrink(false).show(ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(GAP, 0.0);
        ui.horizontal(|ui| {
            cell(ui, TITLE, |ui| {
                ui.add(Label::new(label("a figure that cannot be told apart reads 'same'")).truncate())
            });
            for (name, order) in &figures.columns {
                cell(ui, COLUMN, |ui| ui.add(Label::new(label(name)).truncate()).on_hover_text(order));
            }
        });
        let top = ui.cursor().top();
        ui.painter().hline(ui.max_rect().x_range(), top, egui::Stroke::new(1.0, LINE));
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
                    cell(ui, COLUMN, |ui| {
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
            ui.add(Label::new(label(words)).extend());
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
