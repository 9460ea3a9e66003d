//! A picture from outside for the active tile: its file, and what its numbers are.

use egui::{TextEdit, Ui};

use super::SheetUi;
use super::paths::{self, Answer, Ask};
use crate::look::label;
use crate::state::{Action, Sheet, is_picture};

/// Draws both lines and the files that begin like what is typed.
pub fn show(ui: &mut Ui, typed: &str, encoding: &str, sheet: &mut SheetUi) {
    let words = "type the path of a DPX, EXR, TIFF, PNG or JPEG file, or drop it on the window; Enter shows it in the active tile";
    let name = sheet.title(ui, "outside picture", words, Some("Escape leaves"));
    let mut encoding = encoding.to_string();
    let mut changed = false;
    ui.horizontal(|ui| {
        let told = ui.label(label("encoding")).id;
        let line = TextEdit::singleline(&mut encoding).desired_width(160.0).hint_text("as stored");
        changed = ui.add(line.align(egui::Align2::LEFT_CENTER)).labelled_by(told).changed();
        ui.label(label("left empty: codes are shown as stored; a scene's encoding is rendered as usual"));
    });
    let ask = Ask {
        name,
        typed,
        fits: &is_picture,
        first: Vec::new(),
        first_words: ["", ""],
        none: "no folder and no picture begins like this",
    };
    let at = sheet.bench.wall.active;
    match paths::show(ui, &ask, sheet) {
        Some(Answer::Path(path)) => sheet.actions.push(Action::Outside(at, Some((path, encoding)))),
        Some(Answer::Typed(typed)) => sheet.actions.push(Action::Lay(Some(Sheet::Outside { typed, encoding }))),
        None if changed => {
            sheet.actions.push(Action::Lay(Some(Sheet::Outside { typed: typed.to_string(), encoding })));
        }
        None => {}
    }
}
