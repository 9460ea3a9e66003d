//! The candidates on the wall as rails, one above the other: camera code, scene light, display code.
//!
//! A carriage is an operation; a gate is where the numbers become something else. What two rails share is joined by a tie, so
//! that a swapped order is seen as crossed ties. Carriages are dragged along their rail; the picture follows.

mod acts;
mod drag;
mod keys;
mod meaning;
mod row;
mod track;

use std::sync::Arc;

use egui::{Id, Rect, ScrollArea, Shape, Stroke, Ui, pos2};

use crate::look::{BLACK, GAP, LABEL, LINE, ROW, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench};
use meaning::remembered;
use row::{Drawn, Row};
use track::{Stretch, carriages};

/// The shares of the width that the stretches take.
const SHARES: [f32; 3] = [0.2, 0.6, 0.2];
/// What names stand in at the left.
const NAMES: f32 = 120.0;

/// Draws the strip.
pub fn show(ui: &mut Ui, bench: &Bench, _pictures: &Pictures, actions: &mut Vec<Action>) {
    let Some(document) = bench.document() else { return };
    let whole = ui.max_rect();
    ui.painter().rect_filled(whole, 0.0, BLACK);
    let stretches = stretches(whole);
    for (stretch, place) in &stretches {
        let at = Rect::from_min_size(pos2(place.left(), whole.top()), egui::vec2(place.width(), ROW));
        ui.put(at, egui::Label::new(label(stretch.name())));
    }
    for (_, place) in stretches.iter().skip(1) {
        let stroke = Stroke::new(1.0, LINE);
        ui.painter().line_segment([pos2(place.left(), whole.top()), pos2(place.left(), whole.bottom())], stroke);
    }
    let Ok(kit) = document.resolve(bench.shot(), Some(bench.frame)) else { return };
    let meanings: Vec<_> =
        on_wall(bench).into_iter().map(|name| (remembered(ui, bench, document, &name), name)).collect();
    let inner = Rect::from_min_max(pos2(whole.left(), whole.top() + ROW), whole.max);
    let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(inner));
    ui.set_clip_rect(inner);
    let shown = ScrollArea::vertical().id_salt("rails").auto_shrink(false).show(&mut ui, |ui| {
        // Ties lie below what they join.
        let below = ui.painter().add(Shape::Noop);
        let mut drawn: Vec<Drawn<'_>> = Vec::new();
        for (meaning, candidate) in &meanings {
            let Some(wiring) = document.candidates.get(candidate) else { continue };
            let meaning = Arc::as_ref(meaning);
            let takes = meaning.as_ref().map_or(&[][..], |meaning| &meaning.takes);
            let carriages = carriages(document, wiring, takes);
            let row = Row { bench, candidate, wiring, kit: &kit, carriages, meaning, stretches: &stretches };
            drawn.push(row.show(ui, actions));
        }
        let ties = drawn.iter().zip(drawn.iter().skip(1)).flat_map(|(above, below)| ties(above, below));
        let stroke = Stroke::new(1.0, LABEL);
        ui.painter().set(below, ties.map(|ends| Shape::line_segment(ends, stroke)).collect::<Vec<_>>());
        keys::follow(ui, bench, &drawn, actions);
        drag::follow(ui, bench, &drawn, actions);
    });
    let needed = ROW + shown.content_size.y + GAP;
    if height(&ui) != Some(needed) {
        ui.data_mut(|data| data.insert_temp(Id::unique("rails' height"), needed));
        // The parts of the window are laid out by it.
        ui.ctx().request_repaint();
    }
}

/// How high the rails were when they were drawn last, all of them; none before that.
pub fn height(ui: &Ui) -> Option<f32> {
    ui.data(|data| data.get_temp(Id::unique("rails' height")))
}

/// The candidates on the wall, from the left, each once.
fn on_wall(bench: &Bench) -> Vec<String> {
    let mut names: Vec<String> = Vec::new();
    for name in bench.wall.tiles.iter().filter_map(|tile| bench.candidate_of(tile)) {
        if !names.iter().any(|own| own == name) {
            names.push(name.to_string());
        }
    }
    names
}

fn stretches(whole: Rect) -> [(Stretch, Rect); 3] {
    let left = whole.left() + NAMES;
    let width = whole.width() - NAMES - 2.0 * GAP;
    let mut from = left;
    let mut share = SHARES.iter();
    Stretch::ALL.map(|stretch| {
        let to = from + width * share.next().copied().unwrap_or(0.0);
        let rect = Rect::from_x_y_ranges(from..=to, whole.y_range());
        from = to;
        (stretch, rect)
    })
}

/// Joins what two rails share.
fn ties(above: &Drawn<'_>, below: &Drawn<'_>) -> Vec<[egui::Pos2; 2]> {
    let tie = |stand: &row::Stand| {
        let from = above.stands.iter().find(|own| own.member == stand.member)?;
        Some([from.place.center_bottom(), stand.place.center_top()])
    };
    below.stands.iter().filter_map(tie).collect()
}

#[cfg(test)]
mod tests;
