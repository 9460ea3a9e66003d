//! Another project: by its path, by what lies there, or one of those that were open.

use std::path::{MAIN_SEPARATOR, Path, PathBuf};

use egui::text::{CCursor, CCursorRange};
use egui::{Key, TextEdit, Ui};

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::state::{Action, Sheet};

/// Names shown at most.
const MOST: usize = 60;
const WIDEST: f32 = 460.0;

/// One that can be pressed.
enum Offer {
    Project(PathBuf),
    Folder(PathBuf),
}

/// Draws the line to type in and what it may mean.
pub fn show(ui: &mut Ui, typed: &str, sheet: &mut SheetUi) {
    let words = "type the path of a project or a folder, or drop it on the window; Enter opens";
    let name = sheet.title(ui, "open", words, Some("Escape leaves"));
    let mut text = typed.to_string();
    let wide = ui.available_width().min(900.0);
    let line = TextEdit::singleline(&mut text).desired_width(wide).hint_text("path");
    let mut output = line.align(egui::Align2::LEFT_CENTER).show(ui);
    let response = output.response.response.clone().labelled_by(name);
    if sheet.fresh {
        response.request_focus();
    }
    if response.changed() {
        sheet.actions.push(Action::Lay(Some(Sheet::Open { typed: text.clone() })));
    }
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) && !text.trim().is_empty() {
        sheet.actions.push(Action::Open(PathBuf::from(text.trim())));
        response.request_focus();
    }
    ui.add_space(GAP);
    let offers: Vec<Offer> = match text.trim().is_empty() {
        true => sheet.bench.recent().into_iter().map(Offer::Project).collect(),
        false => below(Path::new(text.trim()), text.ends_with(MAIN_SEPARATOR)),
    };
    if let Some(message) = sheet.bench.message.as_ref().filter(|message| message.wrong) {
        ui.label(figure(&message.words));
    }
    match (offers.is_empty(), text.trim().is_empty()) {
        (true, true) => drop(ui.label(label("no other project was open yet"))),
        (true, false) => drop(ui.label(label("no folder and no project begins like this"))),
        (false, true) => drop(ui.label(label("open last"))),
        (false, false) => {}
    }
    let whole = text.trim().is_empty();
    sheet.columns(ui, &offers, if whole { 900.0 } else { WIDEST }, |sheet, ui, offer, width| match offer {
        Offer::Project(path) => {
            let shown = if whole { path.display().to_string() } else { name_of(path) };
            if sheet.row(ui, &shown, "", true, width) {
                sheet.actions.push(Action::Open(path.clone()));
            }
        }
        Offer::Folder(path) => {
            if sheet.row(ui, &format!("{}{MAIN_SEPARATOR}", name_of(path)), "", true, width) {
                let typed = format!("{}{MAIN_SEPARATOR}", path.display());
                let end = CCursor::new(typed.chars().count());
                output.state.cursor.set_char_range(Some(CCursorRange::one(end)));
                output.state.clone().store(ui.ctx(), response.id);
                response.request_focus();
                sheet.actions.push(Action::Lay(Some(Sheet::Open { typed })));
            }
        }
    });
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Folders and projects that begin like what is typed.
fn below(typed: &Path, whole: bool) -> Vec<Offer> {
    let (folder, begins) = match (whole, typed.parent(), typed.file_name()) {
        (false, Some(parent), Some(name)) => (parent.to_owned(), name.to_string_lossy().into_owned()),
        _ => (typed.to_owned(), String::new()),
    };
    let folder = if folder.as_os_str().is_empty() { PathBuf::from(".") } else { folder };
    let Ok(entries) = std::fs::read_dir(&folder) else { return Vec::new() };
    let mut paths: Vec<PathBuf> = entries
        .flatten()
        .map(|entry| entry.path())
        .filter(|path| {
            let name = name_of(path);
            name.starts_with(&begins) && (begins.starts_with('.') || !name.starts_with('.'))
        })
        .collect();
    paths.sort();
    let offer = |path: PathBuf| {
        if path.is_dir() {
            return Some(Offer::Folder(path));
        }
        path.extension().is_some_and(|ending| ending == session::ENDING).then_some(Offer::Project(path))
    };
    paths.into_iter().filter_map(offer).take(MOST).collect()
}
