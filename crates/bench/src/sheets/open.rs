//! Another project: by its path, by what lies there, or one of those that were open.

use egui::Ui;

use super::SheetUi;
use super::paths::{self, Answer, Ask};
use crate::state::{Action, Sheet};

/// Draws the line to type in and what it may mean.
pub fn show(ui: &mut Ui, typed: &str, sheet: &mut SheetUi) {
    let words = "type the path of a project or a folder, or drop it on the window; Enter opens";
    let ask = Ask {
        name: sheet.title(ui, "open", words, Some("Escape leaves")),
        typed,
        fits: &|path| path.extension().is_some_and(|ending| ending == session::ENDING),
        first: sheet.bench.recent(),
        first_words: ["open last", "no other project was open yet"],
        none: "no folder and no project begins like this",
    };
    match paths::show(ui, &ask, sheet) {
        Some(Answer::Typed(typed)) => sheet.actions.push(Action::Lay(Some(Sheet::Open { typed }))),
        Some(Answer::Path(path)) => sheet.actions.push(Action::Open(path)),
        None => {}
    }
}
