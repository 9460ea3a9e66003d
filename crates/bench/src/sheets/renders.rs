//! What is to be rendered, and the renders that run, wait or are over.

use egui::{Button, Label, ScrollArea, TextEdit, Ui};
use session::queue::{Job, State};

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::state::{Action, Bench, OnRenders, Working};

/// The widest that the name of the files is.
const NAME: f32 = 460.0;
/// Columns of the list: number, what it is of, its state, where it goes.
const COLUMNS: [f32; 4] = [28.0, 240.0, 330.0, 320.0];

/// Draws both.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let words = "of the project as it is saved; starting saves it";
    sheet.title(ui, "renders", words, Some("Escape leaves; renders go on"));
    if sheet.bench.project().is_none() {
        ui.label(label("no project is open"));
        return;
    }
    asked(ui, sheet);
    ui.add_space(2.0 * GAP);
    list(ui, sheet);
}

/// What is asked for: shots, candidates, where the frames go.
fn asked(ui: &mut Ui, sheet: &mut SheetUi) {
    let bench = sheet.bench;
    let renders = &bench.renders;
    let pairs = bench.to_render();
    ui.horizontal(|ui| {
        ui.label(label("through"));
        let own = Button::selectable(renders.candidate.is_none(), figure("what each shot has chosen"));
        let own = ui.add(own).on_hover_text("where a shot has chosen none, the active picture's candidate");
        if own.clicked() {
            sheet.actions.push(Action::Renders(OnRenders::Candidate(None)));
        }
        let names: Vec<&String> =
            bench.document().map(|document| document.candidates.keys().collect()).unwrap_or_default();
        for name in names {
            let is_on = renders.candidate.as_ref() == Some(name);
            if ui.add(Button::selectable(is_on, figure(name))).clicked() {
                sheet.actions.push(Action::Renders(OnRenders::Candidate(Some(name.clone()))));
            }
        }
    });
    ui.horizontal(|ui| {
        let name = ui.label(label("to")).id;
        let mut to = renders.to.clone();
        let edit = TextEdit::singleline(&mut to).desired_width(NAME).align(egui::Align2::LEFT_CENTER);
        let edit = ui.add(edit).labelled_by(name);
        if sheet.fresh {
            edit.request_focus();
        }
        if edit.changed() {
            sheet.actions.push(Action::Renders(OnRenders::To(to)));
        }
        let name = ui.label(label("frames")).id;
        let mut frames = renders.frames.clone();
        let edit = TextEdit::singleline(&mut frames).desired_width(110.0).hint_text("all");
        let edit = ui.add(edit.align(egui::Align2::LEFT_CENTER)).labelled_by(name);
        if edit.changed() {
            sheet.actions.push(Action::Renders(OnRenders::Frames(frames)));
        }
        let words = match &pairs[..] {
            [(shot, _)] => format!("render {shot}"),
            many => format!("render {} shots", many.len()),
        };
        if ui.add_enabled(!pairs.is_empty(), Button::new(figure(words))).clicked() {
            sheet.actions.push(Action::Renders(OnRenders::Start));
        }
    });
    let pairs: Vec<String> = pairs.iter().map(|(shot, candidate)| format!("{shot} through {candidate}")).collect();
    let pairs = if pairs.is_empty() { "choose shots in the table first".to_string() } else { pairs.join(", ") };
    ui.add(Label::new(figure(&pairs)).truncate()).on_hover_text(pairs);
    ui.add(
        Label::new(label(
            "from the project's folder; {shot} and {candidate} stand for their names, the ending chooses the format; \
             depth=8|10|16|half and dither=blue-noise may follow. Frames: 1001-1048",
        ))
        .truncate(),
    );
    if let Some(message) = bench.message.as_ref().filter(|message| message.wrong) {
        ui.add(Label::new(figure(&message.words)).wrap());
    }
}

/// The jobs in their order, the newest last.
fn list(ui: &mut Ui, sheet: &mut SheetUi) {
    let bench = sheet.bench;
    let seen = &bench.renders.seen;
    if let Some(fault) = &seen.fault {
        ui.add(Label::new(figure(fault)).wrap());
    }
    if seen.jobs.is_empty() {
        ui.label(label("nothing was rendered of this project from here yet"));
        return;
    }
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        for (job, is_worked_on) in &seen.jobs {
            let working = seen.working.filter(|working| working.job == job.number);
            ui.horizontal(|ui| row(ui, job, *is_worked_on, working, sheet));
            if let Some(why) = &job.why {
                ui.horizontal(|ui| {
                    ui.add_space(COLUMNS[0] + GAP);
                    ui.add(Label::new(figure(why)).wrap());
                });
            }
        }
    });
}

fn row(ui: &mut Ui, job: &Job, is_worked_on: bool, working: Option<Working>, sheet: &mut SheetUi) {
    let cells = [job.number.to_string(), job.title(), state(job, is_worked_on, working), job.out.clone()];
    for (width, words) in COLUMNS.into_iter().zip(cells) {
        ui.allocate_ui_with_layout(
            egui::vec2(width, crate::look::ROW),
            egui::Layout::left_to_right(egui::Align::Center),
            |ui| {
                ui.set_min_width(width);
                ui.add(Label::new(figure(&words)).truncate()).on_hover_text(words);
            },
        );
    }
    let number = job.number;
    let mut press = |ui: &mut Ui, words: &str, action: OnRenders| {
        let button = ui.button(figure(words));
        let name = format!("{words} render {number}");
        button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, &name));
        if button.clicked() {
            sheet.actions.push(Action::Renders(action));
        }
    };
    match job.state {
        State::Waiting | State::Running if working.is_none() && !is_worked_on => {
            press(ui, "go", OnRenders::Go(vec![number]));
            press(ui, "pause", OnRenders::Pause(vec![number]));
        }
        State::Waiting | State::Running => press(ui, "pause", OnRenders::Pause(vec![number])),
        State::Paused => press(ui, "go", OnRenders::Go(vec![number])),
        State::Done | State::Failed => press(ui, "again", OnRenders::Go(vec![number])),
    }
    press(ui, if job.state.is_over() { "forget" } else { "cancel" }, OnRenders::TakeOut(vec![number]));
}

/// How a job stands, in words.
fn state(job: &Job, is_worked_on: bool, working: Option<Working>) -> String {
    if let Some(working) = working {
        let paused = if job.state == State::Paused { "ends after this frame, " } else { "" };
        return format!("{paused}{}", progress(working));
    }
    let state = match (job.state, is_worked_on) {
        (State::Running, true) => "rendered by another process",
        (State::Running, false) => "broken off; goes on where it was",
        (state, _) => state.name(),
    };
    match &job.done {
        Some(done) => {
            let there = done.kept + done.written;
            let pace = (done.written > 0).then(|| format!(", {:.2} s a frame", done.seconds / done.written as f64));
            format!("{state}, {there} of {} frames{}", done.wanted, pace.unwrap_or_default())
        }
        None => state.to_string(),
    }
}

/// Frames, rate and time left of what runs.
fn progress(working: Working) -> String {
    let Working { done, of, .. } = working;
    let mut words = format!("running, {done} of {of} frames");
    if let (Some(rate), Some(left)) = (working.rate(), working.left()) {
        let left = left.ceil() as u64;
        let left = if left < 60 { format!("{left} s") } else { format!("{} min {} s", left / 60, left % 60) };
        words += &format!(", {rate:.1} a second, {left} left");
    }
    words
}

/// What runs, short enough for the head line; none where nothing does.
pub fn in_head(bench: &Bench) -> Option<String> {
    let working = bench.renders.seen.working?;
    Some(format!("rendering {} of {}", working.done, working.of))
}
