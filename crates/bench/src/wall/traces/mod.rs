//! The traces under a tile: a wide one and a square one. Only channels have a hue, and stand far enough from the pictures.

mod ink;
mod square;
mod wide;

use egui::{Align2, Color32, FontFamily, FontId, Painter, Pos2, Rect, Stroke, Ui, pos2, vec2};
use measure::scopes::Axis;

use crate::look::{BLACK, GAP, LABEL, LABEL_SIZE, LINE, ROW};
use crate::pictures::Outcome;
use crate::state::TileId;

/// What the figures along an axis need at the left, in points.
const FIGURES: f32 = 34.0;
/// Figures stand no nearer to each other than this, in points.
const APART: f32 = 17.0;

/// Draws the traces of a tile, with its candidate's name where that is not plain from where they stand, and with their frame
/// while the tile plays.
pub fn show(ui: &mut Ui, at: TileId, outcome: &Outcome, is_named: bool, plays: bool) {
    let Some(traces) = &outcome.traces else { return };
    let whole = ui.max_rect().shrink2(vec2(GAP, 2.0));
    let side = (whole.height() - ROW).max(0.0);
    let square_place = Rect::from_min_size(pos2(whole.right() - side, whole.top() + ROW), vec2(side, side));
    let right = if traces.square.is_some() { square_place.left() - 2.0 * GAP } else { whole.right() };
    let wide_place = Rect::from_min_max(pos2(whole.left() + FIGURES, whole.top() + ROW), pos2(right, whole.bottom()));
    let named = outcome.shown.as_ref().filter(|_| is_named).map(|shown| shown.named.candidate.as_str());
    // While frames are played, traces lag behind, or stay.
    let of_frame = outcome.shown.as_ref().filter(|shown| plays && shown.frame != traces.frame).map(|_| traces.frame);
    wide::show(ui, at, wide_place, traces, named, of_frame);
    if let Some(square) = &traces.square {
        square::show(ui, at, square_place, traces, square);
    }
}

fn words(painter: &Painter, at: Pos2, align: Align2, words: &str) {
    words_in(painter, at, align, words, LABEL);
}

fn words_in(painter: &Painter, at: Pos2, align: Align2, words: &str, ink: Color32) {
    let font = FontId::new(LABEL_SIZE, FontFamily::Proportional);
    painter.text(at, align, words, font, ink);
}

fn ground(painter: &Painter, place: Rect) {
    painter.rect(place, 0.0, BLACK, Stroke::new(1.0, LINE), egui::StrokeKind::Outside);
}

/// Those figures of an axis, with their share of it from its start, that have room along so many points.
fn figures(axis: &Axis, length: f32, apart: f32) -> Vec<(f32, &str)> {
    let shares: Vec<(f32, &str)> = axis
        .ticks
        .iter()
        .map(|tick| {
            let share = axis.position(tick.value) / f64::from(axis.bins());
            (share as f32, tick.label.as_str())
        })
        .collect();
    // Every so many, counted from 0 where there is one: 0, 20, 40 and not -10, 10, 30.
    let zero = axis.ticks.iter().position(|tick| tick.label == "0").unwrap_or(0);
    let every = |step: usize| -> Vec<(f32, &str)> {
        shares
            .iter()
            .copied()
            .enumerate()
            .filter(|(at, _)| at.abs_diff(zero).is_multiple_of(step))
            .map(|(_, tick)| tick)
            .collect()
    };
    let has_room = |ticks: &Vec<(f32, &str)>| {
        ticks.iter().zip(ticks.iter().skip(1)).all(|(low, high)| (high.0 - low.0) * length >= apart)
    };
    [1, 2, 4, 5, 10].into_iter().map(every).find(has_room).unwrap_or_default()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_have_room() {
        let axis = Axis::signal(-0.1, 1.1, 256);
        for length in [60.0, 130.0, 400.0] {
            let figures = figures(&axis, length, APART);
            assert!(figures.len() > 2 && figures.iter().any(|(_, words)| *words == "0"), "{figures:?}");
            assert!(figures.windows(2).all(|pair| (pair[1].0 - pair[0].0) * length >= APART));
        }
    }
}
