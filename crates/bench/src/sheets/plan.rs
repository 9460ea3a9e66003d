//! The plan of the active picture: what the device does for it, pass by pass.

use egui::{RichText, ScrollArea, Ui};

use super::SheetUi;
use crate::look::{LABEL_SIZE, TEXT, label};
use crate::pictures::Pictures;

/// Draws its text.
pub fn show(ui: &mut Ui, pictures: &Pictures, sheet: &mut SheetUi) {
    let candidate = sheet.bench.tile().and_then(|tile| sheet.bench.candidate_of(tile)).unwrap_or("no candidate");
    let words = format!("{candidate}: what the device does for the active picture");
    sheet.title(ui, "plan", &words, Some("Escape leaves"));
    let shown = pictures.of(sheet.bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
    let Some(shown) = shown else {
        ui.label(label("there is no picture yet"));
        return;
    };
    ScrollArea::both().auto_shrink(false).show(ui, |ui| {
        let text = RichText::new(shown.plan.as_ref()).monospace().size(LABEL_SIZE).color(TEXT);
        ui.add(egui::Label::new(text).extend());
    });
}
