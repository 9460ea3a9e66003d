//! The window is to close while there is unsaved work, or while a render runs.

use egui::Ui;

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::state::Action;

/// Asks what is to become of it.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let is_rendering = sheet.bench.renders.is_working();
    let is_unsaved = sheet.bench.is_unsaved();
    let words = if is_unsaved { "there is work that is not saved" } else { "a render is running" };
    sheet.title(ui, "close", words, Some("Escape stays"));
    if is_rendering {
        let words = "a render runs: it ends with the frames that it has begun, and waits in the queue beside the project \
                     until it is told to go on";
        ui.add(egui::Label::new(label(words)).wrap());
    }
    if !is_unsaved {
        closing(ui, sheet);
        return;
    }
    let steps = sheet.bench.project().map_or(0, |project| project.steps().names_back().count());
    let words = match steps {
        0 => "work that was taken up is not in the file yet".to_string(),
        1 => "one step was made since the project was opened".to_string(),
        many => format!("{many} steps were made since the project was opened"),
    };
    ui.label(label(words));
    ui.add_space(GAP);
    ui.horizontal(|ui| {
        let save = ui.button(figure("save and close"));
        if sheet.fresh {
            save.request_focus();
        }
        if save.clicked() {
            sheet.actions.push(Action::SaveAndClose);
        }
        let leave = ui.button(figure("close as it is"));
        let leave = leave.on_hover_text("what is unsaved waits beside the project and is offered next time");
        if leave.clicked() {
            sheet.actions.push(Action::CloseAsItIs);
        }
        if ui.button(figure("stay")).clicked() {
            sheet.actions.push(Action::Lay(None));
        }
    });
}

/// Asks where nothing is unsaved.
fn closing(ui: &mut Ui, sheet: &mut SheetUi) {
    ui.add_space(GAP);
    ui.horizontal(|ui| {
        let close = ui.button(figure("close"));
        if sheet.fresh {
            close.request_focus();
        }
        if close.clicked() {
            sheet.actions.push(Action::CloseAsItIs);
        }
        if ui.button(figure("stay")).clicked() {
            sheet.actions.push(Action::Lay(None));
        }
    });
}
