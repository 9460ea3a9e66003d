//! One shot's row.

use egui::{Button, EventFilter, Label, Rect, TextEdit, Ui, UiBuilder, vec2};
use graph::Shot;

use super::columns::Column;
use super::{HEIGHT, arrows, choose, layers, pick, picture};
use crate::look::{FILL, GAP, LABEL, corner_ticks, figure, label};
use crate::state::{Action, Bench, OnTable};

/// Draws a row; presses and arrows choose, the cells of the active tile's shot are controls.
pub fn show(
    ui: &mut Ui,
    bench: &Bench,
    name: &str,
    columns: &[(Column, Rect)],
    names: &[&str],
    actions: &mut Vec<Action>,
) {
    let Some(shot) = bench.document().and_then(|document| document.shots.get(name)) else { return };
    let (_, rect) = ui.allocate_space(vec2(ui.available_width(), HEIGHT));
    // What marks a row stands clear of its text.
    let rect = rect.expand2(vec2(GAP - 1.0, 0.0));
    let id = |name: &str| egui::Id::unique(("shot", name));
    let response = ui.interact(rect, id(name), egui::Sense::click());
    let (chosen, active) = (bench.chosen.contains(name), bench.shot() == Some(name));
    response.widget_info(|| egui::WidgetInfo::selected(egui::Role::ListItem, true, chosen, format!("shot {name}")));
    let modifiers = ui.input(|input| input.modifiers);
    if response.clicked() {
        choose(bench, name, names, modifiers, actions);
        ui.memory_mut(|memory| memory.request_focus(id(name)));
        // Only who has had the keys for a pass may keep the arrows.
        ui.ctx().request_repaint();
    }
    if ui.memory(|memory| memory.has_focus(id(name))) {
        let filter = EventFilter { vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(id(name), filter));
        if let Some(next) = arrows(ui, name, names) {
            choose(bench, next, names, modifiers, actions);
            ui.memory_mut(|memory| memory.request_focus(id(next)));
        }
    }
    // Only up and down, and only where a row has room: what can never be brought into sight would be sought for ever.
    let sight = ui.clip_rect();
    let is_hidden = (rect.top() < sight.top() || rect.bottom() > sight.bottom()) && sight.height() >= rect.height();
    if active && is_hidden && bench.table.from.as_deref() != Some(name) {
        ui.scroll_to_rect(rect, None);
    }
    if chosen {
        ui.painter().rect_filled(rect, 0.0, FILL);
    }
    if response.has_focus() || response.hovered() {
        ui.painter().rect_stroke(rect, 0.0, egui::Stroke::new(1.0, LABEL), egui::StrokeKind::Inside);
    }
    for (column, place) in columns {
        let place = Rect::from_x_y_ranges(place.x_range(), rect.y_range());
        let mut ui =
            ui.new_child(UiBuilder::new().id_salt((name, *column as u8)).max_rect(place).layout(column.layout()));
        ui.set_clip_rect(place.intersect(ui.clip_rect()));
        ui.spacing_mut().interact_size.y = 16.0;
        ui.spacing_mut().button_padding = vec2(0.0, 0.0);
        if *column == Column::Picture {
            if let Some(small) = bench.table.small.get(name) {
                picture::paint(&ui, name, small, place);
            }
        } else if active {
            control(&mut ui, bench, *column, (name, shot), actions)
        } else {
            said(&mut ui, bench, *column, (name, shot))
        }
    }
    if active {
        corner_ticks(ui.painter(), rect);
    }
    if response.hovered()
        && let Some(words) = layers::words(bench, name)
    {
        response.on_hover_text(words);
    }
}

/// What a cell says, and how it is drawn.
fn words(bench: &Bench, column: Column, (name, shot): (&str, &Shot)) -> egui::RichText {
    let or_dash = |text: Option<&str>| text.map_or_else(|| label("\u{2013}"), figure);
    match column {
        Column::Picture => label(""),
        Column::Name if bench.table.anchor.as_deref() == Some(name) => figure(format!("# {name}")),
        Column::Name => figure(name),
        Column::SetUp => or_dash(shot.set_up.as_deref()),
        Column::Candidate => or_dash(shot.candidate.as_deref()),
        Column::State => figure(shot.state.name().replace('-', " ")),
        Column::Lock => label(if shot.locked { "locked" } else { "" }),
        Column::Stops | Column::Mired | Column::Duv | Column::Evidence => label("\u{2013}"),
        Column::Clipped => match bench.table.clipped.get(name) {
            Some(Ok(share)) => figure(percent(*share)),
            Some(Err(_)) => figure("fault"),
            None => label("\u{2013}"),
        },
        Column::Note => label(&shot.note),
    }
}

/// A share in per cent; less than a tenth of one is told from nothing.
fn percent(share: f64) -> String {
    match share {
        0.0 => "0 %".to_string(),
        share if share < 0.0005 => "<0.1 %".to_string(),
        share => format!("{:.1} %", 100.0 * share),
    }
}

fn said(ui: &mut Ui, bench: &Bench, column: Column, (name, shot): (&str, &Shot)) {
    let response = ui.add(Label::new(words(bench, column, (name, shot))).selectable(false).truncate());
    if column == Column::Clipped {
        response.on_hover_text(match bench.table.clipped.get(name) {
            Some(Ok(_)) => "of the middle frame: pixels at or above white in some channel before the clamp".to_string(),
            Some(Err(why)) => why.clone(),
            None => "not measured yet".to_string(),
        });
    }
}

fn control(ui: &mut Ui, bench: &Bench, column: Column, (name, shot): (&str, &Shot), actions: &mut Vec<Action>) {
    let text = words(bench, column, (name, shot));
    let cell = |ui: &mut Ui, text: egui::RichText, what: &str| {
        let response = ui.add(Button::new(text).frame_when_inactive(false).truncate());
        response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, format!("{what} of {name}")));
        response
    };
    match column {
        Column::State => pick::state(&cell(ui, text, "state"), bench, shot.state, actions),
        Column::Candidate => pick::candidate(&cell(ui, text, "candidate"), bench, shot.candidate.as_deref(), actions),
        Column::Lock => {
            let text = if shot.locked { text } else { label("open") };
            if cell(ui, text, "lock").clicked() {
                actions.extend(pick::lock(bench, !shot.locked).map(Action::Edit));
            }
        }
        Column::Note => match bench.table.note.as_ref().filter(|(own, _)| own == name) {
            Some((_, so_far)) => write(ui, bench, name, so_far, actions),
            None => {
                let text = if shot.note.is_empty() { label("write") } else { text };
                if cell(ui, text, "note").on_hover_text(&shot.note).clicked() {
                    actions.push(Action::Table(OnTable::Note(name.to_string(), shot.note.clone())));
                }
            }
        },
        _ => said(ui, bench, column, (name, shot)),
    }
}

/// The note while it is written. Enter or going elsewhere keeps it, Escape leaves it as it was.
fn write(ui: &mut Ui, bench: &Bench, name: &str, so_far: &str, actions: &mut Vec<Action>) {
    let mut text = so_far.to_string();
    let id = egui::Id::unique(("note", name));
    let edit = TextEdit::singleline(&mut text).id(id).desired_width(f32::INFINITY).margin(vec2(2.0, 0.0));
    let response = ui.add(edit);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, format!("note of {name}")));
    if response.changed() {
        actions.push(Action::Table(OnTable::Note(name.to_string(), text.clone())));
    }
    if response.lost_focus() {
        // Escape has been taken by then, as what returns from everything.
        if !actions.contains(&Action::Return) {
            actions.extend(pick::note(bench, name, &text).map(Action::Edit));
        }
        actions.push(Action::Table(OnTable::LeaveNote));
    } else if !response.has_focus() {
        response.request_focus();
    }
}
