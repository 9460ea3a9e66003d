//! A placed probe is moved: by the arrows where its row has the keys, or dragged on the picture.
//!
//! Arrows move it by a pixel, with Shift by ten; with Ctrl they move its right and lower edges, so that it grows or shrinks.

use egui::{EventFilter, Id, Key, Modifiers, Response, Ui};
use session::beside::Placed;

use crate::state::{Action, OnProbes};

/// An area within a picture of a size, where that is known; never smaller than a pixel.
pub fn within([x, y, width, height]: [f64; 4], size: Option<[f64; 2]>) -> [f64; 4] {
    let [most_x, most_y] = size.unwrap_or([f64::from(u32::MAX); 2]);
    let (width, height) = (width.clamp(1.0, most_x), height.clamp(1.0, most_y));
    [x.clamp(0.0, most_x - width), y.clamp(0.0, most_y - height), width, height]
}

/// What the arrows do to a probe whose control has the keys.
pub fn by_keys(
    ui: &Ui,
    response: &Response,
    (at, probe): (usize, &Placed),
    size: Option<[f64; 2]>,
    actions: &mut Vec<Action>,
) {
    if !response.has_focus() {
        return;
    }
    hold_arrows(ui, response.id);
    let [x, y, width, height] = probe.area;
    let [right, down] = arrows(ui, Modifiers::NONE);
    let [wider, higher] = arrows(ui, Modifiers::COMMAND);
    let to = within([x + right, y + down, width + wider, height + higher], size);
    if to != probe.area {
        actions.push(Action::Probes(OnProbes::Move(at, to, true)));
    }
    if ui.input_mut(|input| input.consume_key(Modifiers::NONE, Key::Slash)) {
        actions.push(Action::Probes(OnProbes::Kind(at, probe.kind.next())));
    }
}

/// The arrows belong to what has the keys, from the next pass on.
fn hold_arrows(ui: &Ui, id: Id) {
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
}

/// How far the arrows lead, by a pixel or with Shift by ten.
fn arrows(ui: &Ui, modifiers: Modifiers) -> [f64; 2] {
    let by = |key: Key| {
        ui.input_mut(|input| {
            let far = 10.0 * input.count_and_consume_key(modifiers | Modifiers::SHIFT, key) as f64;
            far + input.count_and_consume_key(modifiers, key) as f64
        })
    };
    [by(Key::ArrowRight) - by(Key::ArrowLeft), by(Key::ArrowDown) - by(Key::ArrowUp)]
}
