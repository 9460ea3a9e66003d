//! One word on whether the device keeps to the proof, and how long it takes for a picture.

use egui::Ui;

use crate::look::{figure, label};
use crate::state::{Action, Bench, Sheet};

/// Draws it, from the right: the time of the active picture, then the word.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    if let Some(words) = time(bench) {
        ui.label(label(words)).on_hover_text("the device's time for the active picture, by its own clock");
    }
    if let Some((of, checked)) = bench.departs() {
        let [x, y] = checked.at;
        let codes = checked.codes.round().max(1.0);
        let unit = if codes < 2.0 { "code" } else { "codes" };
        let words = format!("proof: {codes:.0} {unit} off at {x},{y} in {}", of.candidate);
        if ui.button(figure(words)).on_hover_text("the device departs from the proof; the steps are in here").clicked()
        {
            actions.push(Action::Lay(Some(Sheet::Trust)));
        }
        return;
    }
    let tiles = bench.wall.tiles.len();
    let is_proved = |at: usize| bench.checked(at).is_some_and(|of| of.checked.is_ok());
    if tiles > 0 && (0..tiles).all(is_proved) {
        ui.label(label("proof ok")).on_hover_text("every picture keeps to the proof, at all places that were tried");
    }
}

/// The device's own time; none where it has no clock.
fn time(bench: &Bench) -> Option<String> {
    Some(format!("{:.1} ms", 1000.0 * bench.checked(bench.wall.active)?.seconds?))
}
