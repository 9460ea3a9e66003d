//! The window is to close while there is unsaved work.

use egui::Ui;

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::state::Action;

/// Asks what is to become of it.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    sheet.title(ui, "close", "there is work that is not saved", Some("Escape stays"));
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
