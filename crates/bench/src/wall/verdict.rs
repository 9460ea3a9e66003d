//! The verdict line under a picture: five figures with their units, as of when they were asked for.

use egui::text::LayoutJob;
use egui::{Color32, FontFamily, FontId, Label, TextFormat, Ui};

use crate::look::{GAP, LABEL, LABEL_SIZE, TEXT, TEXT_SIZE, label};
use crate::state::{Bench, Figure, TileId};

/// What stands before figures of a state that is no more.
const BEFORE: &str = "as of before";

/// Draws the line; whether there is one.
pub fn show(ui: &mut Ui, bench: &Bench, at: TileId) -> bool {
    let known = bench.verdict_on(at);
    if let Some(running) = &bench.verdicts.running
        && known.is_none_or(|(_, is_now)| !is_now)
    {
        let [done, of] = running.parts;
        ui.add(Label::new(label(format!("verdict: {}, {done} of {of}; Escape ends it", running.words))).truncate());
        return true;
    }
    let Some((known, is_now)) = known else { return false };
    match &known.figures {
        Ok(figures) => {
            let (short, hint) = (job(figures, is_now, true), hint(figures, is_now));
            let long = job(figures, is_now, false);
            let fits = ui.painter().layout_job(long.clone()).size().x <= ui.available_width();
            ui.add(Label::new(if fits { long } else { short }).truncate()).on_hover_text(hint);
        }
        Err(words) => {
            ui.add(Label::new(label(format!("no verdict: {words}"))).truncate()).on_hover_text(words);
        }
    }
    true
}

/// Names in grey, figures light; all grey where they are of before.
fn job(figures: &[Figure], is_now: bool, is_short: bool) -> LayoutJob {
    let format = |size: f32, color: Color32| TextFormat::simple(FontId::new(size, FontFamily::Proportional), color);
    let mut job = LayoutJob::default();
    if !is_now {
        job.append(BEFORE, 0.0, format(LABEL_SIZE, LABEL));
    }
    for figure in figures {
        let space = if job.text.is_empty() { 0.0 } else { 2.0 * GAP };
        let title = if is_short { short(&figure.title) } else { &figure.title };
        job.append(&format!("{title} "), space, format(LABEL_SIZE, LABEL));
        job.append(figure.read(), 0.0, format(TEXT_SIZE, if is_now { TEXT } else { LABEL }));
    }
    job
}

/// The first word that tells it from the others.
fn short(title: &str) -> &str {
    title
        .strip_prefix("from the ")
        .or(title.strip_prefix("to the "))
        .unwrap_or(title)
        .split(' ')
        .next()
        .unwrap_or(title)
}

fn hint(figures: &[Figure], is_now: bool) -> String {
    let line = |figure: &Figure| match figure.same {
        true => format!("{}: same ({})", figure.title, figure.text),
        false => format!("{}: {}", figure.title, figure.text),
    };
    let before = (!is_now).then(|| "as of before: something has changed since they were measured".to_string());
    before.into_iter().chain(figures.iter().map(line)).collect::<Vec<_>>().join("\n")
}
