//! The steps back: what was done, in words; any of them can be gone to.

use egui::Ui;

use super::SheetUi;
use crate::look::label;
use crate::state::Action;

const WIDEST: f32 = 460.0;

/// Draws the list, the newest first.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    sheet.title(ui, "steps", "press one to go there; nothing is lost by it", Some("Escape leaves"));
    let Some(project) = sheet.bench.project() else {
        ui.label(label("no project is open"));
        return;
    };
    let steps = project.steps();
    // How many steps it is to each from here, and what it is called.
    let mut rows: Vec<(isize, String)> =
        steps.names_forth().enumerate().map(|(at, name)| (at as isize + 1, name.to_string())).collect();
    rows.reverse();
    rows.extend(steps.names_back().enumerate().map(|(at, name)| (-(at as isize), name.to_string())));
    rows.push((-(steps.names_back().count() as isize), "as it was opened".to_string()));
    sheet.columns(ui, &rows, WIDEST, |sheet, ui, (away, name), width| {
        let right = match away {
            0 => "now",
            1.. => "taken back",
            _ => "",
        };
        if sheet.row(ui, name, right, true, width) && *away != 0 {
            sheet.actions.push(Action::Steps(*away));
        }
    });
}
