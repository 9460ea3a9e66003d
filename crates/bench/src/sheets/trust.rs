//! What computes, what it makes of each tile, how long that takes, and how far it is from the proof.

use egui::{Grid, ScrollArea, Ui};
use session::trust::Step;

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::pictures::{Pictures, Shown};
use crate::state::{Action, OfPicture, OnTrust};

/// Draws the adapter, a row for each tile, a row for each step of the active picture.
pub fn show(ui: &mut Ui, pictures: &Pictures, sheet: &mut SheetUi) {
    sheet.title(ui, "what computes", "", Some("Escape leaves"));
    let Some(gpu) = pictures.gpu() else {
        ui.label(label("there is no graphics adapter"));
        return;
    };
    let note = gpu.note();
    ui.label(figure(note.to_string()));
    ui.label(label(&note.driver));
    if let Some(played) = pictures.played() {
        ui.label(label(format!("played: {}", crate::transport::account(played))));
    }
    ui.add_space(GAP);
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| {
        tiles(ui, pictures, sheet);
        ui.add_space(GAP);
        steps(ui, sheet);
    });
}

fn tiles(ui: &mut Ui, pictures: &Pictures, sheet: &SheetUi) {
    Grid::new("tiles").num_columns(6).spacing([3.0 * GAP, GAP]).show(ui, |ui| {
        for head in ["picture", "is brought to", "signal", "device's time", "wish to work", "proof"] {
            ui.label(label(head));
        }
        ui.end_row();
        for (at, tile) in sheet.bench.wall.tiles.iter().enumerate() {
            let Some(shown) = pictures.of(at).and_then(|outcome| outcome.shown.as_ref()) else { continue };
            let checked = sheet.bench.checked(at);
            let shot = tile.shot.as_deref().unwrap_or_default();
            let candidate = sheet.bench.candidate_of(tile).unwrap_or_default();
            ui.label(figure(format!("{shot} through {candidate}")));
            ui.label(figure(&shown.rendering));
            ui.label(figure(&shown.signal));
            ui.label(figure(device_time(checked)));
            ui.label(figure(format!("{:.1} ms", shown.took.as_secs_f64() * 1000.0)));
            ui.label(figure(proof(shown, checked)));
            ui.end_row();
            for warning in &shown.warnings {
                ui.label(label(""));
                ui.label(label(warning));
                ui.end_row();
            }
        }
    });
}

fn device_time(checked: Option<&OfPicture>) -> String {
    match checked.map(|of| of.seconds) {
        None => "not known yet".to_string(),
        Some(None) => "no device clock".to_string(),
        Some(Some(seconds)) => format!("{:.2} ms", 1000.0 * seconds),
    }
}

/// How many pixels were proved, the largest deviation and where.
fn proof(shown: &Shown, checked: Option<&OfPicture>) -> String {
    let Some(of) = checked else {
        let is_picture = shown.basis.is_some();
        return if is_picture { "not checked yet" } else { "only pictures themselves are proved" }.to_string();
    };
    match &of.checked {
        Ok(checked) => {
            let [x, y] = checked.at;
            let words = match checked.departs {
                0 => "ok".to_string(),
                1 => "1 pixel departs".to_string(),
                departs => format!("{departs} pixels depart"),
            };
            let (codes, pixels) = (checked.codes, checked.pixels);
            format!(
                "{words}: at most {codes:.2} codes of 10 bits, at {x},{y}, of {pixels} pixels of frame {}",
                of.frame
            )
        }
        Err(words) => words.clone(),
    }
}

/// Every step of the active picture by itself, on what the proof gives it.
fn steps(ui: &mut Ui, sheet: &mut SheetUi) {
    let Some(tile) = sheet.bench.tile() else { return };
    ui.horizontal(|ui| {
        let is_on = sheet.bench.trust.by_proof.is_some();
        let words = if is_on { "show the device's picture again" } else { "show the active picture by the proof" };
        if ui.button(figure(words)).clicked() {
            sheet.actions.push(Action::Trust(OnTrust::ByProof((!is_on).then_some(tile.number))));
        }
        ui.label(label(verdict(sheet)));
    });
    let Some((_, Ok(steps))) = sheet.bench.trust.steps.as_ref().filter(|(own, _)| *own == tile.number) else { return };
    let worst = worst(steps).map(|worst| &worst.member);
    Grid::new("steps").num_columns(4).spacing([3.0 * GAP, 2.0]).show(ui, |ui| {
        for head in ["step", "largest deviation", "of what f32 may be off", "where"] {
            ui.label(label(head));
        }
        ui.end_row();
        for step in steps {
            let [x, y] = step.at;
            let mark = if step.departs() { "  departs" } else { "" };
            let name = figure(&step.member);
            ui.label(if Some(&step.member) == worst { name.strong() } else { name });
            ui.label(figure(format!("{:.4} codes of 10 bits", step.codes)));
            ui.label(figure(format!("{:.1} %{mark}", 100.0 * step.of_bound)));
            ui.label(figure(if step.of_bound > 0.0 { format!("{x},{y}") } else { "nowhere".to_string() }));
            ui.end_row();
        }
    });
}

/// The step that is farthest off by what it may be.
fn worst(steps: &[Step]) -> Option<&Step> {
    steps.iter().max_by(|a, b| a.of_bound.total_cmp(&b.of_bound))
}

/// What the steps come to, in a sentence.
fn verdict(sheet: &SheetUi) -> String {
    let at = sheet.bench.wall.active;
    let departs = sheet.bench.checked(at).is_some_and(|of| of.departs().is_some());
    let number = sheet.bench.tile().map(|tile| tile.number);
    match sheet.bench.trust.steps.as_ref().filter(|(own, _)| Some(*own) == number) {
        None => "each step of the active picture is being tried by itself".to_string(),
        Some((_, Err(words))) => format!("the steps are not known: {words}"),
        Some((_, Ok(steps))) => match worst(steps) {
            None => "the active picture has no steps".to_string(),
            Some(step) if step.departs() => format!("{} departs from the proof", step.member),
            Some(_) if departs => {
                "every step by itself keeps to the proof: what departs is how they are put together".to_string()
            }
            Some(step) => format!("every step keeps to the proof; {} comes nearest to what it may be off", step.member),
        },
    }
}
