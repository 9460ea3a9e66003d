//! The profile of the monitor that the second window stands on.

use std::path::PathBuf;

use egui::Ui;

use super::SheetUi;
use super::paths::{self, Answer, Ask};
use crate::look::{GAP, figure, label};
use crate::state::{Action, Bench, OnSecond, Sheet};

/// Draws what is used now, and the line for another.
pub fn show(ui: &mut Ui, typed: &str, sheet: &mut SheetUi) {
    let words =
        "type the path of a profile; the second window shows pictures through it, and nothing that is rendered is";
    let name = sheet.title(ui, "monitor", words, Some("Escape leaves"));
    let second = &sheet.bench.second;
    ui.horizontal(|ui| match second.monitor() {
        Some(monitor) => {
            ui.label(figure(&monitor.name));
            ui.label(label(monitor.signal().to_string()));
            if ui.button(figure("codes as they are")).on_hover_text("use no profile").clicked() {
                sheet.actions.push(Action::Second(OnSecond::Profile(None)));
            }
        }
        None => drop(ui.label(label("no profile is used: codes are shown as they are"))),
    });
    ui.add_space(GAP);
    let ask = Ask {
        name,
        typed,
        fits: &|path| path.extension().is_some_and(|ending| ending == "toml"),
        first: near(sheet.bench),
        first_words: ["beside the project, and beside the profile in use", "no profile lies beside the project"],
        none: "no folder and no profile begins like this",
    };
    match paths::show(ui, &ask, sheet) {
        Some(Answer::Typed(typed)) => sheet.actions.push(Action::Lay(Some(Sheet::Monitor { typed }))),
        Some(Answer::Path(path)) => sheet.actions.push(Action::Second(OnSecond::Profile(Some(path)))),
        None => {}
    }
}

/// The profiles in the project's folder and in that of the one in use.
fn near(bench: &Bench) -> Vec<PathBuf> {
    let own = bench.second.profile().and_then(|path| path.parent()).map(PathBuf::from);
    let mut found: Vec<PathBuf> = bench
        .project()
        .map(session::Project::folder)
        .into_iter()
        .chain(own)
        .filter_map(|folder| std::fs::read_dir(folder).ok())
        .flat_map(|entries| entries.flatten().map(|entry| entry.path()))
        .filter(|path| path.extension().is_some_and(|ending| ending == "toml") && session::monitor::open(path).is_ok())
        .collect();
    found.sort();
    found.dedup();
    found
}
