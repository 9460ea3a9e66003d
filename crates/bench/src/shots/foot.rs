//! The line below the rows: words to filter by, numbers to copy, and the layers of the touched setting.

use egui::{Label, Popup, PopupCloseBehavior, ScrollArea, TextEdit, Ui};

use super::{copy, layers};
use crate::look::{figure, label};
use crate::state::{Action, Bench, Copying, OnTable};

/// Draws the line.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    ui.horizontal(|ui| {
        ui.spacing_mut().interact_size.y = 16.0;
        let mut words = bench.table.filter.clone();
        let edit = TextEdit::singleline(&mut words).desired_width(96.0).hint_text("filter by words");
        let filter = ui.add(edit);
        filter.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, "filter the shots by words"));
        if filter.changed() {
            actions.push(Action::Table(OnTable::Filter(words)));
        }
        copying(ui, bench, actions);
        run(ui, bench, actions);
        let shot = bench.shot().and_then(|name| layers::words(bench, name));
        let count = bench.meant().len();
        let words = match shot {
            Some(words) => words,
            None if count > 1 => format!("{count} shots chosen"),
            None => String::new(),
        };
        ui.add(Label::new(label(&words)).truncate()).on_hover_text(words);
    });
}

fn run(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let on = bench.table.run.is_some();
    let words = if on { "stop" } else { "run through" };
    let hint = "two seconds a shot in cut order: the chosen shots, or all where one is chosen (R)";
    if ui.button(label(words)).on_hover_text(hint).clicked() {
        actions.push(Action::Table(if on { OnTable::Halt } else { OnTable::Run }));
    }
}

/// The button that opens what is copied, and that list.
fn copying(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let Some(document) = bench.document() else { return };
    let button = ui.button(label("copy numbers")).on_hover_text("numbers of one shot for the chosen ones (C)");
    if button.clicked() {
        let next = if bench.table.copying.is_some() { None } else { begin(bench) };
        actions.push(Action::Table(OnTable::Copying(next)));
    }
    let Some(now) = &bench.table.copying else { return };
    let mut open = true;
    let popup = Popup::menu(&button).open_bool(&mut open).close_behavior(PopupCloseBehavior::IgnoreClicks);
    popup.show(|ui| {
        let mut next = now.clone();
        ui.label(label("from"));
        ScrollArea::vertical().id_salt("from").max_height(84.0).show(ui, |ui| {
            for name in document.shots.keys() {
                if ui.selectable_label(*name == now.from, figure(name)).clicked() {
                    next.from.clone_from(name);
                }
            }
        });
        let all = copy::members(document);
        let mut is_all = all == now.members;
        if ui.checkbox(&mut is_all, figure("all operations")).changed() {
            next.members = if is_all { all.clone() } else { std::collections::BTreeSet::new() };
        }
        for member in &all {
            let mut on = now.members.contains(member);
            if ui.checkbox(&mut on, figure(member)).changed() {
                if on {
                    next.members.insert(member.clone())
                } else {
                    next.members.remove(member)
                };
            }
        }
        let to: Vec<String> = bench.meant().into_iter().filter(|name| *name != now.from).collect();
        let edit = copy::edit(document, &now.from, &to, &now.members);
        let whom =
            if to.is_empty() { "choose the shots that get them".to_string() } else { format!("for {}", to.join(", ")) };
        ui.label(label(whom));
        ui.horizontal(|ui| {
            let can = matches!(edit, Ok(Some(_)));
            if ui.add_enabled(can, egui::Button::new(figure("copy"))).clicked()
                && let Ok(Some(edit)) = &edit
            {
                actions.push(Action::Edit(edit.clone()));
                actions.push(Action::Table(OnTable::Copying(None)));
            }
            if ui.button(figure("leave")).clicked() {
                actions.push(Action::Table(OnTable::Copying(None)));
            }
            match &edit {
                Err(why) => drop(ui.label(figure(why))),
                Ok(None) if !to.is_empty() => drop(ui.label(label("they have them already"))),
                Ok(_) => {}
            }
        });
        if next != *now {
            actions.push(Action::Table(OnTable::Copying(Some(next))));
        }
    });
}

/// All operations, from the anchor shot where that is not the one that gets them, else from the active tile's.
pub fn begin(bench: &Bench) -> Option<Copying> {
    let meant = bench.meant();
    let anchor = bench.table.anchor.clone().filter(|anchor| meant.as_slice() != std::slice::from_ref(anchor));
    let before = || bench.cut().into_iter().take_while(|name| Some(*name) != bench.shot()).last().map(str::to_string);
    let own = || bench.shot().map(str::to_string);
    let from = if meant.len() > 1 { anchor.or_else(own) } else { anchor.or_else(before).or_else(own) };
    Some(Copying { from: from?, members: copy::members(bench.document()?) })
}
