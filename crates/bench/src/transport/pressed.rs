//! What is done by pressing: play, step, direction, loop, in and out.

use egui::{Button, Role, Ui, WidgetInfo, vec2};

use super::{apart, quiet};
use crate::look::ROW;
use crate::state::{Action, Bench, Ends, OnPlaying};

/// Draws them.
pub fn show(ui: &mut Ui, bench: &Bench, actions: &mut Vec<Action>) {
    let (playing, now, ends) = (&bench.playing, bench.now(), bench.ends());
    ui.spacing_mut().item_spacing.x = 2.0;
    let mut press = |ui: &mut Ui, words: &str, name: &str, on: Option<bool>, width: f32, action: OnPlaying| {
        let button = Button::new(quiet(words)).selected(on == Some(true)).frame_when_inactive(on == Some(true));
        let response = ui.add(button.min_size(vec2(width, ROW))).on_hover_text(name);
        response.widget_info(|| match on {
            Some(on) => WidgetInfo::selected(Role::Button, true, on, name),
            None => WidgetInfo::labeled(Role::Button, true, name),
        });
        if response.clicked() {
            actions.push(Action::Playing(action));
        }
    };
    let (word, name) = if playing.plays { ("stop", "stop on this frame") } else { ("play", "play from this frame on") };
    press(ui, word, name, Some(playing.plays), 40.0, OnPlaying::Play(!playing.plays));
    press(ui, "\u{2212}1", "one frame back", None, 26.0, OnPlaying::Step(-1));
    press(ui, "+1", "one frame on", None, 26.0, OnPlaying::Step(1));
    apart(ui);
    let back = OnPlaying::Backward(!playing.backward);
    press(ui, "backward", "play backward", Some(playing.backward), 60.0, back);
    press(ui, "loop", "go on at the other end", Some(playing.looped), 36.0, OnPlaying::Loop(!playing.looped));
    apart(ui);
    let Ends { first, last } = ends;
    // Pressed once more on the same frame, it is none again.
    let other = |end: Option<i64>| Some(now).filter(|now| end != Some(*now));
    press(ui, "in", &said("in", first, now), Some(first.is_some()), 26.0, OnPlaying::In(other(first)));
    press(ui, "out", &said("out", last, now), Some(last.is_some()), 30.0, OnPlaying::Out(other(last)));
}

/// What pressing does to an end.
fn said(what: &str, end: Option<i64>, now: i64) -> String {
    match end {
        Some(frame) if frame == now => format!("{what} is {frame}; take it away"),
        Some(frame) => format!("{what} is {frame}; set it on this frame"),
        None => format!("set {what} on this frame"),
    }
}
