//! The line at the bottom: typed numbers go to the scale that was touched last, live. Enter keeps them, Escape returns.

mod short;

use egui::{Event, Id, Key, TextEdit, Ui};
use graph::{Document, Edit};

use crate::look::{GAP, figure, label};
use crate::numbers;
use crate::state::{Action, Bench};

use short::read;

/// What line and scales know each other by.
fn line_id() -> Id {
    Id::unique("entry line")
}

fn scale_id() -> Id {
    Id::unique("scale that was touched")
}

/// Gives the keys to the line.
pub fn take_keys(ui: &Ui) {
    ui.memory_mut(|memory| memory.request_focus(line_id()));
}

/// Whether a number is being typed, which then goes to the line; what has the keys gives them up by [`take_keys`].
pub fn is_typed(ui: &Ui) -> bool {
    let begins = |text: &String| text.starts_with(|c: char| c.is_ascii_digit() || "+-=*.rgba".contains(c));
    ui.input(|input| input.events.iter().any(|event| matches!(event, Event::Text(text) if begins(text))))
}

/// Remembers what has the keys: it has them again when the line is done.
pub fn remember(ui: &Ui, scale: Id) {
    ui.data_mut(|data| data.insert_temp(scale_id(), scale));
}

/// Draws the line.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    ui.add_space(2.0);
    ui.horizontal(|ui| {
        ui.add_space(GAP);
        let goes_to = match &bench.touched {
            Some(touched) => format!("{} {}", touched.member, touched.field).replace('-', " "),
            None => "touch a scale, then type".to_string(),
        };
        let caption = ui.label(label(goes_to));
        let mut text = bench.entry.clone();
        let hint = "+1/3    -12m    +.002d    r+2 g-1 all+4    =3200K    * for all chosen shots";
        let edit = TextEdit::singleline(&mut text).desired_width(420.0).hint_text(hint).id(line_id());
        let response = ui.add(edit).labelled_by(caption.id);
        if response.changed() {
            actions.push(Action::Type(text.clone()));
            match said(bench, &text) {
                Ok(Some(edit)) => actions.push(Action::Try(edit)),
                Ok(None) => actions.push(Action::Forget),
                // Half a number is no fault while it is typed: the line beside it says what is wanted.
                Err(_) => {}
            }
        }
        let (enter, escape) = ui.input(|input| (input.key_pressed(Key::Enter), input.key_pressed(Key::Escape)));
        if response.lost_focus()
            && (enter || escape)
            && let Some(scale) = ui.data(|data| data.get_temp::<Id>(scale_id()))
        {
            ui.memory_mut(|memory| memory.request_focus(scale));
        }
        if response.lost_focus() && enter && !text.trim().is_empty() {
            match said(bench, &text) {
                Ok(Some(edit)) => actions.extend([Action::Edit(edit), Action::Type(String::new())]),
                Ok(None) => {}
                Err(words) => actions.push(Action::Say(words)),
            }
        }
        match (text.trim().is_empty(), said(bench, &text)) {
            (false, Err(words)) => drop(ui.label(figure(words))),
            (false, Ok(_)) => drop(ui.label(label(whom(bench, &text)))),
            (true, _) => {}
        }
    });
}

/// The edit that a line means now.
fn said(bench: &Bench, text: &str) -> Result<Option<Edit>, String> {
    let (Some(touched), Some(project)) = (&bench.touched, bench.project()) else {
        return if text.trim().is_empty() {
            Ok(None)
        } else {
            Err("touch a scale first: press it, or Tab to it".to_string())
        };
    };
    let shots = shots(bench, text);
    if text.trim_start().starts_with('*') && shots.is_empty() {
        return Err("no shots are chosen; choose them in the table first".to_string());
    }
    meant(text, touched, project.document(), &shots)
}

/// The edit that a line means for some shots.
///
/// # Errors
/// In words, what would be taken.
pub fn meant(
    text: &str,
    touched: &crate::state::Touched,
    document: &Document,
    shots: &[String],
) -> Result<Option<Edit>, String> {
    let Some(said) = read(text, touched, document)? else { return Ok(None) };
    let edits: Result<Vec<Edit>, String> =
        said.changes.iter().map(|(touched, change)| numbers::edit(document, shots, touched, change)).collect();
    let edit = match <[Edit; 1]>::try_from(edits?) {
        Ok([only]) => only,
        Err(several) => Edit::Many(several),
    };
    // What the document would refuse is refused while it is typed.
    document.clone().apply(&edit).map_err(|error| error.to_string())?;
    Ok(Some(edit))
}

/// The shots that a line is for.
fn shots(bench: &Bench, text: &str) -> Vec<String> {
    if text.trim_start().starts_with('*') {
        bench.chosen.iter().cloned().collect()
    } else {
        bench.shot().map(str::to_string).into_iter().collect()
    }
}

fn whom(bench: &Bench, text: &str) -> String {
    let shots = shots(bench, text);
    let whom = match &shots[..] {
        [] => "the kit".to_string(),
        [one] => one.clone(),
        several => several.join(", "),
    };
    format!("for {whom}; Enter keeps, Escape returns")
}

#[cfg(test)]
mod tests;
