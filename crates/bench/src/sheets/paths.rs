//! A line in which a path is typed, and below it what begins like that.

use std::path::{MAIN_SEPARATOR, Path, PathBuf};

use egui::text::{CCursor, CCursorRange};
use egui::{Id, Key, TextEdit, Ui};

use super::SheetUi;
use crate::look::{GAP, figure, label};

/// Names shown at most.
const MOST: usize = 60;
const WIDEST: f32 = 460.0;
/// Whole paths take more room.
const WIDEST_WHOLE: f32 = 900.0;

/// What a path is asked for.
pub struct Ask<'a> {
    /// What names the line.
    pub name: Id,
    /// What is typed.
    pub typed: &'a str,
    /// Which files are meant.
    pub fits: &'a dyn Fn(&Path) -> bool,
    /// Offered by their whole paths while nothing is typed.
    pub first: Vec<PathBuf>,
    /// What these are, in words, and what to say where there are none.
    pub first_words: [&'a str; 2],
    /// What to say where nothing begins like what is typed.
    pub none: &'a str,
}

/// What has been done with the line.
pub enum Answer {
    /// Something else stands in it.
    Typed(String),
    /// A file is meant.
    Path(PathBuf),
}

/// One that can be pressed.
enum Offer {
    File(PathBuf),
    Folder(PathBuf),
}

/// Draws the line and what it may mean.
pub fn show(ui: &mut Ui, ask: &Ask<'_>, sheet: &mut SheetUi) -> Option<Answer> {
    let mut answer = None;
    let mut text = ask.typed.to_string();
    let wide = ui.available_width().min(WIDEST_WHOLE);
    let line = TextEdit::singleline(&mut text).desired_width(wide).hint_text("path");
    let mut output = line.align(egui::Align2::LEFT_CENTER).show(ui);
    let response = output.response.response.clone().labelled_by(ask.name);
    if sheet.fresh {
        response.request_focus();
    }
    if response.changed() {
        answer = Some(Answer::Typed(text.clone()));
    }
    if response.lost_focus() && ui.input(|input| input.key_pressed(Key::Enter)) && !text.trim().is_empty() {
        answer = Some(Answer::Path(PathBuf::from(text.trim())));
        response.request_focus();
    }
    ui.add_space(GAP);
    let whole = text.trim().is_empty();
    let offers: Vec<Offer> = match whole {
        true => ask.first.iter().cloned().map(Offer::File).collect(),
        false => below(Path::new(text.trim()), text.ends_with(MAIN_SEPARATOR), ask.fits),
    };
    if let Some(message) = sheet.bench.message.as_ref().filter(|message| message.wrong) {
        ui.label(figure(&message.words));
    }
    let [some, none] = ask.first_words;
    match (offers.is_empty(), whole) {
        (true, true) => drop(ui.label(label(none))),
        (true, false) => drop(ui.label(label(ask.none))),
        (false, true) => drop(ui.label(label(some))),
        (false, false) => {}
    }
    sheet.columns(ui, &offers, if whole { WIDEST_WHOLE } else { WIDEST }, |sheet, ui, offer, width| match offer {
        Offer::File(path) => {
            let shown = if whole { path.display().to_string() } else { name_of(path) };
            if sheet.row(ui, &shown, "", true, width) {
                answer = Some(Answer::Path(path.clone()));
            }
        }
        Offer::Folder(path) => {
            if sheet.row(ui, &format!("{}{MAIN_SEPARATOR}", name_of(path)), "", true, width) {
                let typed = format!("{}{MAIN_SEPARATOR}", path.display());
                let end = CCursor::new(typed.chars().count());
                output.state.cursor.set_char_range(Some(CCursorRange::one(end)));
                output.state.clone().store(ui.ctx(), response.id);
                response.request_focus();
                answer = Some(Answer::Typed(typed));
            }
        }
    });
    answer
}

fn name_of(path: &Path) -> String {
    path.file_name().unwrap_or(path.as_os_str()).to_string_lossy().into_owned()
}

/// Folders, and files that fit, that begin like what is typed.
fn below(typed: &Path, whole: bool, fits: &dyn Fn(&Path) -> bool) -> Vec<Offer> {
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
        fits(&path).then_some(Offer::File(path))
    };
    paths.into_iter().filter_map(offer).take(MOST).collect()
}
