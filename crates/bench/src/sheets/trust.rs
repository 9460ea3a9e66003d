//! What computes, what it makes of each tile, and how long that takes.

use egui::{Grid, Ui};

use super::SheetUi;
use crate::look::{GAP, figure, label};
use crate::pictures::Pictures;

/// Draws the adapter and a row for each tile.
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
    ui.add_space(2.0 * GAP);
    Grid::new("tiles").num_columns(4).spacing([3.0 * GAP, GAP]).show(ui, |ui| {
        for head in ["picture", "is brought to", "signal", "from wish to work handed over"] {
            ui.label(label(head));
        }
        ui.end_row();
        for (at, tile) in sheet.bench.wall.tiles.iter().enumerate() {
            let Some(shown) = pictures.of(at).and_then(|outcome| outcome.shown.as_ref()) else { continue };
            let shot = tile.shot.as_deref().unwrap_or_default();
            let candidate = sheet.bench.candidate_of(tile).unwrap_or_default();
            ui.label(figure(format!("{shot} through {candidate}")));
            ui.label(figure(&shown.rendering));
            ui.label(figure(&shown.signal));
            ui.label(figure(format!("{:.1} ms", shown.took.as_secs_f64() * 1000.0)));
            ui.end_row();
            for warning in &shown.warnings {
                ui.label(label(""));
                ui.label(label(warning));
                ui.end_row();
            }
        }
    });
}
