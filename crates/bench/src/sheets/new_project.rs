//! A new project: the shots that lie in a folder, each with what it is likely encoded in, to be confirmed or changed.

use colour::{CodeRange, Encoding};
use egui::{Button, ComboBox, EventFilter, Key, Label, ScrollArea, TextEdit, Ui, vec2};
use session::originals::Found;

use super::SheetUi;
use crate::look::{GAP, LABEL_SIZE, ROW, figure, label};
use crate::state::{Action, OnOriginals};

/// The widths of name, frames, size, encoding, range and exposure index; the reason stands in a line of its own.
const WIDTHS: [f32; 6] = [190.0, 190.0, 280.0, 160.0, 116.0, 110.0];
const HEADS: [&str; 6] = ["shot", "frames", "size", "encoding", "range", "exposure index"];
/// What is shown where a shot leaves something to its files.
const BY_FILES: &str = "as files say";
/// How far the reason stands in.
const INDENT: f32 = 8.0;

/// Draws the table with what is to become of it.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let Some(new) = &sheet.bench.originals else { return };
    let words = format!("of the originals in {}; nothing is written before it is made", new.folder.display());
    sheet.title(ui, "new project", &words, Some("Escape leaves"));
    let Some(found) = &new.found else {
        ui.label(figure("looking for shots..."));
        return;
    };
    ui.horizontal(|ui| {
        let name = ui.label(label("project")).id;
        let mut path = new.path.clone();
        let edit = TextEdit::singleline(&mut path).desired_width(700.0).align(egui::Align2::LEFT_CENTER);
        let edit = ui.add(edit).labelled_by(name);
        if edit.changed() {
            sheet.actions.push(Action::Originals(OnOriginals::Path(path)));
        }
        let count = found.shots.len();
        let words = if count == 1 { "make it of 1 shot".to_string() } else { format!("make it of {count} shots") };
        let make = ui.add_enabled(count > 0, Button::new(figure(words)));
        // Shots come after the sheet: what is next is to make the project of them.
        if ui.memory(|memory| memory.focused().is_none()) {
            make.request_focus();
        }
        if make.clicked() {
            sheet.actions.push(Action::Originals(OnOriginals::Make));
        }
    });
    if let Some(fault) = &new.fault {
        ui.add(Label::new(figure(fault)).wrap());
    }
    if found.shots.is_empty() && new.fault.is_none() {
        ui.label(figure("there is no project and no original in this folder; name another one"));
    }
    ui.add_space(GAP);
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        if !found.shots.is_empty() {
            ui.horizontal(|ui| {
                HEADS.into_iter().enumerate().for_each(|(at, head)| cell(ui, at, |ui| drop(ui.label(label(head)))));
            });
        }
        for (at, shot) in found.shots.iter().enumerate() {
            ui.push_id(at, |ui| {
                ui.horizontal(|ui| row(ui, at, shot, sheet));
                ui.horizontal(|ui| {
                    ui.add_space(INDENT);
                    ui.add(Label::new(label(&shot.reason)).wrap());
                });
                ui.add_space(GAP);
            });
        }
        for words in &found.refused {
            ui.add(Label::new(label(format!("left out: {words}"))).wrap());
        }
    });
}

fn cell(ui: &mut Ui, at: usize, draw: impl FnOnce(&mut Ui)) {
    let width = WIDTHS.get(at).copied().unwrap_or_default();
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    ui.allocate_ui_with_layout(vec2(width, ROW), layout, |ui| {
        ui.set_min_width(width);
        draw(ui);
    });
}

fn row(ui: &mut Ui, at: usize, shot: &Found, sheet: &mut SheetUi) {
    let mut changed = shot.clone();
    cell(ui, 0, |ui| {
        let edit = ui.add(TextEdit::singleline(&mut changed.name).desired_width(WIDTHS[0] - 2.0 * GAP));
        edit.widget_info(|| named(egui::Role::TextInput, "name", shot));
    });
    cell(ui, 1, |ui| {
        let missing = if shot.missing.is_empty() { String::new() } else { format!(", no {}", shot.missing) };
        let words = match shot.span {
            [first, last] if first == last => "one".to_string(),
            [first, last] => format!("{}, {first}-{last}{missing}", shot.frames),
        };
        said(ui, &words);
    });
    cell(ui, 2, |ui| said(ui, &format!("{}x{}, {}", shot.size.width, shot.size.height, shot.stored)));
    cell(ui, 3, |ui| {
        let names = std::iter::once(None).chain(Encoding::ids().iter().map(|id| Some((*id).to_string())));
        let names: Vec<Option<String>> = names.collect();
        choice(ui, ("encoding", WIDTHS[3]), shot, &names, &mut changed.encoding, |name| {
            name.clone().unwrap_or_else(|| BY_FILES.to_string())
        });
    });
    cell(ui, 4, |ui| {
        let ranges = [None, Some(CodeRange::Full), Some(CodeRange::Legal)];
        choice(ui, ("range", WIDTHS[4]), shot, &ranges, &mut changed.range, |range| match range {
            None => BY_FILES.to_string(),
            Some(CodeRange::Full) => "full".to_string(),
            Some(CodeRange::Legal) => "legal".to_string(),
        });
    });
    cell(ui, 5, |ui| {
        let mut text = shot.exposure_index.map(|index| index.to_string()).unwrap_or_default();
        let edit = TextEdit::singleline(&mut text).desired_width(WIDTHS[5] - 2.0 * GAP).hint_text("none");
        let edit = ui.add(edit).on_hover_text("the exposure index, for encodings that depend on it");
        edit.widget_info(|| named(egui::Role::TextInput, "exposure index", shot));
        if edit.changed() {
            changed.exposure_index = text.trim().parse().ok();
        }
    });
    let out = ui.button(label("leave out"));
    out.widget_info(|| named(egui::Role::Button, "leave out", shot));
    if out.clicked() {
        sheet.actions.push(Action::Originals(OnOriginals::LeaveOut(at)));
    } else if changed != *shot {
        sheet.actions.push(Action::Originals(OnOriginals::Change(at, changed)));
    }
}

fn said(ui: &mut Ui, words: &str) {
    ui.add(Label::new(figure(words).size(LABEL_SIZE)).truncate()).on_hover_text(words);
}

fn named(role: egui::Role, what: &str, shot: &Found) -> egui::WidgetInfo {
    egui::WidgetInfo::labeled(role, true, format!("{what} of {}", shot.name))
}

/// One of a few; the arrows go through them without opening the list.
fn choice<T: PartialEq + Clone>(
    ui: &mut Ui,
    (what, width): (&str, f32),
    shot: &Found,
    all: &[T],
    chosen: &mut T,
    words: impl Fn(&T) -> String,
) {
    let combo = ComboBox::from_id_salt(what).selected_text(figure(words(chosen)).size(LABEL_SIZE));
    let now = chosen.clone();
    let shown = combo.width(width - 2.0 * GAP).truncate().show_ui(ui, |ui| {
        for one in all {
            if ui.selectable_label(*one == now, figure(words(one))).clicked() {
                *chosen = one.clone();
            }
        }
    });
    let response = shown.response;
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::Role::ComboBox, true, format!("{what} of {}: {}", shot.name, words(&now)))
    });
    if !response.has_focus() {
        return;
    }
    let filter = EventFilter { vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    let presses = |key| ui.input(|input| input.num_presses(key)) as isize;
    let by = presses(Key::ArrowDown) - presses(Key::ArrowUp);
    let at = all.iter().position(|one| *one == now).unwrap_or_default();
    let next = at.saturating_add_signed(by).min(all.len().saturating_sub(1));
    if let Some(one) = all.get(next).filter(|_| by != 0) {
        *chosen = one.clone();
    }
}
