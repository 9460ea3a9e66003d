//! Everything that can be done, searched by words.

use egui::{Key, TextEdit, Ui};

use super::SheetUi;
use crate::commands::{COMMANDS, Command, written};
use crate::look::GAP;
use crate::state::{Action, Sheet};

/// The widest that a column of commands is.
const WIDEST: f32 = 420.0;

/// Draws the list.
pub fn show(ui: &mut Ui, search: &str, sheet: &mut SheetUi) {
    let name = sheet.title(ui, "commands", "type words of it; Enter does the first one", Some("Escape leaves"));
    let mut text = search.to_string();
    let line = TextEdit::singleline(&mut text).desired_width(WIDEST).hint_text("search");
    let response = ui.add(line.align(egui::Align2::LEFT_CENTER)).labelled_by(name);
    if sheet.fresh {
        response.request_focus();
    }
    if response.changed() {
        sheet.actions.push(Action::Lay(Some(Sheet::Commands { search: text.clone() })));
    }
    let found: Vec<&Command> = COMMANDS.iter().filter(|command| command.is_meant_by(&text)).collect();
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) {
        if let Some(action) = found.first().and_then(|command| (command.action)(sheet.bench)) {
            sheet.actions.extend([Action::Lay(None), action]);
        } else {
            response.request_focus();
        }
    }
    ui.add_space(GAP);
    if found.is_empty() {
        ui.label(crate::look::label("no command has these words; try fewer"));
    }
    sheet.columns(ui, &found, WIDEST, |sheet, ui, command, width| {
        let action = (command.action)(sheet.bench);
        let keys = command.key.map(|key| written(ui.ctx(), &key)).unwrap_or_default();
        if sheet.row(ui, command.words, &keys, action.is_some(), width) {
            sheet.actions.push(Action::Lay(None));
            sheet.actions.extend(action);
        }
    });
}
