//! Settings with a name and no scale: a switch, a choice of a few, or typed text.

use colour::Adaptation;
use egui::{ComboBox, Key, TextEdit, Ui};
use ops::{Display, Field, Limit, Op, Rendering};

use super::{Whose, change};
use crate::look::{LABEL_SIZE, figure, label};
use crate::numbers::Change;
use crate::state::{Action, Touched};

/// What is shown of a setting that is left to what comes.
const LEFT: &str = "as it comes";

/// Draws the control of a field.
pub fn show(ui: &mut Ui, op: &Op, field: &Field, touched: &Touched, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let value = op.get(field.key).unwrap_or_default();
    let choices = choices(op, field);
    if matches!(value.as_str(), "true" | "false") {
        switch(ui, field, &value, touched, whose, actions);
    } else if choices.len() > 1 {
        choice(ui, field, &value, &choices, touched, whose, actions);
    } else {
        typed(ui, field, &value, touched, whose, actions);
    }
}

/// The names that a setting takes, where these are a few: all names of settings that there are, as far as it takes them.
pub fn choices(op: &Op, field: &Field) -> Vec<String> {
    if field.control != ops::Control::Choice || field.unit != ops::Unit::None {
        return Vec::new();
    }
    let names = std::iter::once(String::new())
        .chain(["true", "false", "full", "legal", "tetrahedral", "trilinear"].map(str::to_string))
        .chain(Adaptation::ALL.map(|adaptation| adaptation.id().to_string()))
        .chain(Rendering::ALL.map(|rendering| rendering.name().to_string()))
        .chain(Display::ALL.map(|display| display.name().to_string()))
        .chain(Limit::ALL.map(|limit| limit.to_string()));
    let mut found: Vec<String> = Vec::new();
    for name in names {
        let mut op = op.clone();
        // What it says of itself then is its own way to write the name.
        if op.set(field.key, &name).is_ok()
            && let Some(own) = op.get(field.key)
            && !found.contains(&own)
        {
            found.push(own);
        }
    }
    found
}

fn title(field: &Field) -> String {
    field.key.replace('_', " ")
}

fn switch(ui: &mut Ui, field: &Field, value: &str, touched: &Touched, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let mut on = value == "true";
    let response = ui.checkbox(&mut on, label(title(field))).on_hover_text(field.help);
    if response.has_focus() {
        whose.touch(touched, actions);
    }
    if response.changed() {
        change(whose, touched, &Change::Needle(on.to_string()), false, actions);
    }
}

fn choice(
    ui: &mut Ui,
    field: &Field,
    value: &str,
    choices: &[String],
    touched: &Touched,
    whose: Whose<'_>,
    actions: &mut Vec<Action>,
) {
    let worded = |name: &str| if name.is_empty() { LEFT.to_string() } else { name.to_string() };
    ui.label(label(title(field))).on_hover_text(field.help);
    let mut chosen: Option<&String> = None;
    let combo = ComboBox::from_id_salt(field.key).selected_text(figure(worded(value)).size(LABEL_SIZE));
    let combo = combo.wrap_mode(egui::TextWrapMode::Extend);
    let shown = combo.show_ui(ui, |ui| {
        for name in choices {
            if ui.selectable_label(name == value, worded(name)).clicked() {
                chosen = Some(name);
            }
        }
    });
    let response = shown.response;
    response.widget_info(|| {
        egui::WidgetInfo::labeled(egui::accesskit::Role::ComboBox, true, format!("{}: {}", title(field), worded(value)))
    });
    if response.has_focus() {
        whose.touch(touched, actions);
    }
    if let Some(name) = chosen.filter(|name| *name != value) {
        change(whose, touched, &Change::Needle(name.clone()), false, actions);
    }
}

fn typed(ui: &mut Ui, field: &Field, value: &str, touched: &Touched, whose: Whose<'_>, actions: &mut Vec<Action>) {
    let caption = ui.label(label(title(field)));
    let id = ui.make_persistent_id(("typed", &touched.member, field.key));
    let mut text: String = ui.data(|data| data.get_temp(id)).unwrap_or_else(|| value.to_string());
    let wide = if field.unit == ops::Unit::None && field.hard.is_none() { 150.0 } else { 92.0 };
    let edit = TextEdit::singleline(&mut text).desired_width(wide).hint_text(LEFT).id(id.with("edit"));
    let response = ui.add(edit).labelled_by(caption.id).on_hover_text(field.help);
    if !field.unit.symbol().is_empty() {
        ui.label(label(field.unit.symbol()));
    }
    if response.has_focus() {
        ui.data_mut(|data| data.insert_temp(id, text.clone()));
        whose.touch(touched, actions);
    }
    if response.lost_focus() {
        ui.data_mut(|data| data.remove::<String>(id));
        if text != value && ui.input(|input| input.key_pressed(Key::Enter)) {
            change(whose, touched, &Change::To(text), false, actions);
        }
    }
}
