//! The bar: all frames of the shot, in and out, what is in memory, and the play head.

use egui::{EventFilter, Id, Key, Rect, Response, Sense, Stroke, Ui, WidgetInfo, pos2, vec2};

use crate::look::{LABEL, LIGHT, LINE};
use crate::pictures::Played;
use crate::state::{Action, Bench, Ends, OnPlaying};

/// Frames up to which each has its tick.
const TICKS: i64 = 240;
/// What an end takes beside the frames, in points.
const END: f32 = 9.0;
/// Half the height of an end.
const HALF: f32 = 7.0;

/// Where frames stand on the bar.
#[derive(Clone, Copy)]
struct Scale {
    track: Rect,
    first: i64,
    last: i64,
}

impl Scale {
    /// Where a frame stands.
    fn at(self, frame: i64) -> f32 {
        let count = self.last.saturating_sub(self.first).max(0);
        let share = if count == 0 { 0.5 } else { frame.saturating_sub(self.first) as f32 / count as f32 };
        self.track.left() + share.clamp(0.0, 1.0) * self.track.width()
    }

    /// The frame that stands nearest.
    fn under(self, x: f32) -> i64 {
        let share = f64::from((x - self.track.left()) / self.track.width().max(1.0)).clamp(0.0, 1.0);
        self.first + (share * self.last.saturating_sub(self.first) as f64).round() as i64
    }
}

/// Draws the bar and does what is pressed and drawn on it.
pub fn show(
    ui: &Ui,
    bench: &Bench,
    rect: Rect,
    [first, last]: [i64; 2],
    played: Option<&Played>,
    actions: &mut Vec<Action>,
) {
    let scale = Scale { track: rect.shrink2(vec2(END, 0.0)), first, last };
    let name = ui.scope_id();
    let response = ui.interact(scale.track, name.with("frame"), Sense::click_and_drag());
    response.widget_info(|| WidgetInfo::slider(true, bench.now() as f64, "frame"));
    head(ui, bench, scale, &response, actions);
    let ends = bench.ends();
    let [from, to] = ends.of([first, last]);
    let handle = |side: f32, frame: i64| {
        let x = scale.at(frame);
        Rect::from_x_y_ranges(if side < 0.0 { x - END..=x } else { x..=x + END }, rect.y_range())
    };
    let (left, right) = (handle(-1.0, from), handle(1.0, to));
    let begin = end(ui, name.with("in"), left, (from, "in"), scale, actions, |frame| {
        OnPlaying::In(Some(frame.min(to)).filter(|frame| *frame > first))
    });
    let finish = end(ui, name.with("out"), right, (to, "out"), scale, actions, |frame| {
        OnPlaying::Out(Some(frame.max(from)).filter(|frame| *frame < last))
    });
    let at_hand = played.map(|played| played.at_hand.as_slice()).unwrap_or_default();
    draw(ui, bench.now(), scale, ends, at_hand);
    for (response, rect, inward) in [(begin, left, 4.0), (finish, right, -4.0)] {
        let lit = response.hovered() || response.dragged() || response.has_focus();
        bracket(ui, rect, inward, if lit { LIGHT } else { LABEL });
    }
    if response.has_focus() {
        ui.painter().rect_stroke(scale.track, 0.0, Stroke::new(1.0, LINE), egui::StrokeKind::Inside);
    }
}

/// The play head: pressed it goes there, drawn along it scrubs, arrows step.
fn head(ui: &Ui, bench: &Bench, scale: Scale, response: &Response, actions: &mut Vec<Action>) {
    let mut ask = |action| actions.push(Action::Playing(action));
    let under = response.interact_pointer_pos().map(|place| scale.under(place.x));
    if let (true, Some(frame)) = (response.dragged(), under) {
        if frame != bench.frame || !bench.playing.scrubs {
            ask(OnPlaying::Scrub(frame));
        }
    } else if bench.playing.scrubs {
        ask(OnPlaying::LetGo);
    } else if let (true, Some(frame)) = (response.is_pointer_button_down_on() || response.clicked(), under)
        && (frame != bench.frame || bench.playing.plays)
    {
        ask(OnPlaying::Go(frame));
    }
    if response.clicked() {
        response.request_focus();
    }
    if let Some(by) = stepped(ui, response) {
        ask(OnPlaying::Step(by));
    }
}

/// In or out: drawn along the bar, or moved by arrows.
fn end(
    ui: &Ui,
    id: Id,
    rect: Rect,
    (frame, name): (i64, &str),
    scale: Scale,
    actions: &mut Vec<Action>,
    set: impl Fn(i64) -> OnPlaying,
) -> Response {
    let response = ui.interact(rect, id, Sense::click_and_drag()).on_hover_text(format!("{name}: {frame}"));
    response.widget_info(|| WidgetInfo::slider(true, frame as f64, name));
    if response.clicked() {
        response.request_focus();
    }
    let drawn = response.interact_pointer_pos().filter(|_| response.dragged()).map(|place| scale.under(place.x));
    let moved = stepped(ui, &response).map(|by| (frame + by).clamp(scale.first, scale.last));
    if let Some(to) = drawn.or(moved).filter(|to| *to != frame) {
        actions.push(Action::Playing(set(to)));
    }
    response
}

/// How many frames the arrows go while something has the keys; ten with shift.
fn stepped(ui: &Ui, response: &Response) -> Option<i64> {
    if !response.has_focus() {
        return None;
    }
    let filter = EventFilter { horizontal_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, filter));
    ui.input(|input| {
        let step = if input.modifiers.shift { 10 } else { 1 };
        let by = i64::from(input.key_pressed(Key::ArrowRight)) - i64::from(input.key_pressed(Key::ArrowLeft));
        (by != 0 && !input.modifiers.alt).then_some(by * step)
    })
}

fn draw(ui: &Ui, now: i64, scale: Scale, ends: Ends, at_hand: &[std::ops::RangeInclusive<i64>]) {
    let painter = ui.painter();
    let Scale { track, first, last } = scale;
    let middle = track.center().y;
    painter.hline(track.x_range(), middle, Stroke::new(1.0, LINE));
    let [from, to] = ends.of([first, last]);
    painter.hline(scale.at(from)..=scale.at(to), middle, Stroke::new(1.0, LABEL));
    if last > first && last - first <= TICKS {
        for frame in first..=last {
            let ink = if (from..=to).contains(&frame) { LABEL } else { LINE };
            painter.vline(scale.at(frame), middle - 2.0..=middle + 2.0, Stroke::new(1.0, ink));
        }
    }
    // Each frame in memory takes its part of the bar.
    let part = if last > first { track.width() / (last - first) as f32 / 2.0 } else { track.width() / 2.0 };
    for range in at_hand {
        let (left, right) = (scale.at(*range.start()) - part, scale.at(*range.end()) + part);
        let x = left.max(track.left())..=right.min(track.right());
        painter.hline(x, track.bottom() - 2.0, Stroke::new(2.0, LABEL));
    }
    let x = scale.at(now);
    painter.line_segment([pos2(x, track.top() + 1.0), pos2(x, track.bottom() - 4.0)], Stroke::new(2.0, LIGHT));
}

/// An end, as a bracket that opens inward.
fn bracket(ui: &Ui, rect: Rect, inward: f32, ink: egui::Color32) {
    let (x, y) = (rect.center().x, rect.center().y);
    let painter = ui.painter();
    painter.vline(x, y - HALF..=y + HALF, Stroke::new(1.5, ink));
    for y in [y - HALF, y + HALF] {
        painter.line_segment([pos2(x, y), pos2(x + inward, y)], Stroke::new(1.5, ink));
    }
}
