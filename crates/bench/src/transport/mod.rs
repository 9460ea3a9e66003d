//! The frames of the shot: where it stands, what is played, how that goes.
//!
//! Left what is done by pressing, in the middle the bar, right in words which frame is seen and whether play keeps up.

mod bar;
pub mod keys;
mod pressed;
#[cfg(test)]
mod tests;
mod words;

use std::time::Duration;

use egui::{Rect, Ui, pos2, vec2};

use crate::look::{GAP, LINE, ROW, label};
use crate::pictures::{Pictures, Played, Shown};
use crate::state::{Action, Bench};

pub use words::account;

/// How often it is looked how play goes, while it goes.
const LOOK: Duration = Duration::from_millis(250);
/// The least that words take, and the most: a share of the window between.
const WORDS: [f32; 2] = [330.0, 480.0];
const WORDS_SHARE: f32 = 0.3;
/// Room for a frame's number at an end of the bar.
const NUMBER: f32 = 40.0;

/// What is known of the frame in sight and of how playing goes.
#[derive(Clone, Copy, Default)]
pub struct Known<'a> {
    /// The picture in the active tile.
    pub shown: Option<&'a Shown>,
    /// How playing the shot goes, or went.
    pub played: Option<&'a Played>,
}

/// Draws the strip.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    let shown = pictures.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
    let played = pictures.played();
    if bench.shot().is_none() {
        return;
    }
    strip(ui, bench, Known { shown, played }, actions);
}

/// Lets the window look now and then while frames are played: play may come to its end while nothing else happens.
pub fn keep_awake(ui: &Ui, bench: &Bench) {
    if bench.playing.plays {
        ui.ctx().request_repaint_after(LOOK);
    }
}

fn strip(ui: &mut Ui, bench: &Bench, known: Known<'_>, actions: &mut Vec<Action>) {
    let whole = ui.max_rect().shrink2(vec2(GAP, 0.0));
    let line = Rect::from_min_size(whole.min + vec2(0.0, 3.0), vec2(whole.width(), ROW));
    let mut left = ui.new_child(egui::UiBuilder::new().id_salt("pressed").max_rect(line));
    let used = left.horizontal(|ui| pressed::show(ui, bench, actions)).response.rect.right();
    let words_width = (whole.width() * WORDS_SHARE).clamp(WORDS[0], WORDS[1]);
    let words = line.with_min_x(line.right() - words_width);
    let mut right = ui.new_child(egui::UiBuilder::new().id_salt("words").max_rect(words));
    right.horizontal(|ui| words::show(ui, bench, known));
    let Some([first, last]) = bench.span() else { return };
    let bar = Rect::from_min_max(
        pos2(used + 2.0 * GAP + NUMBER, line.top()),
        pos2(words.left() - 2.0 * GAP - NUMBER, line.bottom()),
    );
    if bar.width() < NUMBER {
        return;
    }
    let number = |x: f32, align: egui::Align2, frame: i64| {
        let font = egui::FontId::new(crate::look::LABEL_SIZE, egui::FontFamily::Proportional);
        ui.painter().text(pos2(x, line.center().y), align, frame, font, crate::look::LABEL);
    };
    number(bar.left() - GAP, egui::Align2::RIGHT_CENTER, first);
    number(bar.right() + GAP, egui::Align2::LEFT_CENTER, last);
    bar::show(ui, bench, bar, [first, last], known.played, actions);
}

/// A thin line between what belongs together and the rest.
fn apart(ui: &mut Ui) {
    let (rect, _) = ui.allocate_exact_size(vec2(1.0, ROW), egui::Sense::hover());
    ui.painter().vline(rect.center().x, rect.shrink(3.0).y_range(), egui::Stroke::new(1.0, LINE));
}

/// A word, or a few, in the strip.
fn quiet(words: impl Into<String>) -> egui::RichText {
    label(words)
}
