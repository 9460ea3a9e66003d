//! The table of shots: where each stands in the work, what is measured of it, and what its numbers come from.
//!
//! A row is chosen by a press, a range with Shift, one more with Ctrl; the arrows do the same. The row of the active tile's
//! shot has controls in its cells, and what is changed there goes to all chosen shots.

mod columns;
mod copy;
mod foot;
pub mod keys;
mod layers;
mod pick;
mod picture;
mod row;
#[cfg(test)]
mod tests;

use egui::{Key, Rect, ScrollArea, Ui, UiBuilder, pos2, vec2};

use crate::look::{GAP, LABEL, LIGHT, LINE, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench, OnTable, Order, RUN_SECONDS};
use columns::{Column, columns};

/// The height of a row.
const HEIGHT: f32 = 18.0;

/// Draws the table.
pub fn show(ui: &mut Ui, bench: &Bench, _pictures: &Pictures, actions: &mut Vec<Action>) {
    run(ui, bench, actions);
    let whole = ui.max_rect().shrink2(vec2(GAP, 0.0));
    let columns = columns(whole);
    headings(ui, bench, &columns, actions);
    let foot = Rect::from_min_max(pos2(whole.left(), whole.bottom() - HEIGHT - 2.0), whole.max);
    let rows = Rect::from_min_max(pos2(whole.left(), whole.top() + HEIGHT), pos2(whole.right(), foot.top()));
    ui.painter().hline(whole.x_range(), rows.top(), egui::Stroke::new(1.0, LINE));
    ui.painter().vline(ui.max_rect().right(), ui.max_rect().y_range(), egui::Stroke::new(1.0, LINE));
    let names = bench.rows();
    let mut inner = ui.new_child(UiBuilder::new().max_rect(rows));
    inner.set_clip_rect(rows.expand2(vec2(GAP, 0.0)));
    ScrollArea::vertical().id_salt("rows").auto_shrink(false).show(&mut inner, |ui| {
        ui.spacing_mut().item_spacing.y = 0.0;
        for name in &names {
            row::show(ui, bench, name, &columns, &names, actions);
        }
        if names.is_empty() && bench.project().is_some() {
            ui.label(label(if bench.table.filter.is_empty() { "no shots" } else { "no shot has these words" }));
        }
    });
    let mut ui = ui.new_child(UiBuilder::new().max_rect(foot));
    foot::show(&mut ui, bench, actions);
}

/// Shows the next shot of a run when its time has come.
fn run(ui: &Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let Some(run) = &bench.table.run else { return };
    let now = ui.input(|input| input.time);
    let left = run.since.map_or(0.0, |since| since + RUN_SECONDS - now);
    if left <= 0.0 {
        actions.push(Action::Table(OnTable::RunOn(now)));
    } else {
        ui.ctx().request_repaint_after(std::time::Duration::from_secs_f64(left));
    }
}

/// The names of the columns; those that rows can be ordered by are pressed.
fn headings(ui: &mut Ui, bench: &Bench, columns: &[(Column, Rect)], actions: &mut Vec<Action>) {
    for (column, place) in columns {
        let order = match column {
            Column::Name => Some((Order::Cut, "in cut order")),
            Column::SetUp => Some((Order::SetUp, "by set-up, in cut order within")),
            Column::Clipped => {
                Some((Order::Worst, "the most clipped first; rows then stay until this is pressed again"))
            }
            _ => None,
        };
        let words = column.heading(bench);
        let text = |on: bool| label(&words).color(if on { LIGHT } else { LABEL });
        let mut ui = ui.new_child(UiBuilder::new().max_rect(*place).layout(column.layout()));
        ui.spacing_mut().button_padding = vec2(0.0, 0.0);
        if let Some((order, hint)) = order {
            let on = bench.table.order == order;
            let button = ui.add(egui::Button::new(text(on)).frame(false).truncate()).on_hover_text(hint);
            button.widget_info(|| {
                egui::WidgetInfo::selected(egui::Role::RadioButton, true, on, format!("order by {words}"))
            });
            if on {
                let y = button.rect.bottom();
                ui.painter().hline(button.rect.x_range(), y, egui::Stroke::new(1.0, LIGHT));
            }
            if button.clicked() {
                actions.push(Action::Table(OnTable::Order(order)));
            }
        } else {
            let said = ui.add(egui::Label::new(text(false)).selectable(false).truncate());
            if let Some(hint) = column.hint() {
                said.on_hover_text(hint);
            }
        }
    }
}

/// Chooses a row as a press with these keys held, or an arrow, does.
fn choose(bench: &Bench, name: &str, names: &[&str], modifiers: egui::Modifiers, actions: &mut Vec<Action>) {
    let mut chosen = vec![name.to_string()];
    let place = |wanted: &str| names.iter().position(|own| *own == wanted);
    if modifiers.shift {
        let from = bench.table.from.as_deref().or(bench.shot()).and_then(place);
        if let (Some(from), Some(to)) = (from, place(name)) {
            let range = names.get(from.min(to)..=from.max(to)).unwrap_or_default();
            chosen.extend(range.iter().filter(|own| **own != name).map(|own| (*own).to_string()));
        }
    } else {
        if modifiers.command {
            if bench.chosen.contains(name) && bench.chosen.len() > 1 {
                // Taken out again; the tile goes on to one that stays.
                chosen = bench.chosen.iter().filter(|own| *own != name).cloned().collect();
                if let Some(at) = chosen.iter().position(|own| Some(own.as_str()) == bench.shot()) {
                    chosen.swap(0, at);
                }
            } else {
                chosen.extend(bench.chosen.iter().filter(|own| *own != name).cloned());
            }
        }
        actions.push(Action::Table(OnTable::From(name.to_string())));
    }
    actions.push(Action::Choose(chosen));
}

/// Up and down from a row that has the keys; gives the row that has them next.
fn arrows<'a>(ui: &Ui, name: &str, names: &[&'a str]) -> Option<&'a str> {
    // Taken, so that the row which gets the keys does not see the same press.
    let pressed = |key: Key| {
        ui.input_mut(|input| {
            let modifiers = input.modifiers;
            isize::from(input.consume_key(modifiers, key))
        })
    };
    let by = pressed(Key::ArrowDown) - pressed(Key::ArrowUp);
    let at = names.iter().position(|own| *own == name)?;
    (by != 0).then(|| names.get(at.checked_add_signed(by)?)).flatten().copied()
}
