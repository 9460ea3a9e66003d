//! Work that was left unsaved when the program ended in the middle of it.

use egui::{RichText, ScrollArea, Ui};

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::state::Action;

/// Offers it.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let Some((project, left)) = sheet.bench.project().and_then(|project| Some((project, project.recovered()?))) else {
        return;
    };
    sheet.title(ui, "unsaved work", "the program ended in the middle of it", None);
    ui.label(figure(format!("kept {}; the project was saved {}", left.kept, left.saved)));
    ui.add_space(GAP);
    ui.horizontal(|ui| {
        let take = ui.button(figure("take it up")).on_hover_text("go on with it; it is in the file once it is saved");
        if sheet.fresh {
            take.request_focus();
        }
        if take.clicked() {
            sheet.actions.push(Action::TakeUp);
        }
        let leave = ui.button(figure("leave it for good")).on_hover_text("go on with the project as it was saved");
        if leave.clicked() {
            sheet.actions.push(Action::Leave);
        }
    });
    ui.add_space(GAP);
    ui.label(label("what it has that the project has not, and the other way round:"));
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for line in session::diff(&project.text(), &session::file::write(&left.written)) {
            ui.label(RichText::new(line).monospace().size(crate::look::LABEL_SIZE).color(crate::look::TEXT));
        }
    });
}
