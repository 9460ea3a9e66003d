//! Probes on a picture: where they lie, and the cross-hair that places one.
//!
//! A press places a point, a drag an area. The arrows move the cross-hair by a pixel, with Shift by sixteen; the space bar sets
//! one corner of an area; Enter places. All of it in pixels of the original, wherever the picture stands on the tile.

use egui::{EventFilter, Key, Painter, Pos2, Rect, Sense, Stroke, StrokeKind, Ui, Vec2, pos2, vec2};

use session::beside::Placed;

use super::moving::within;
use crate::look::{BLACK, LABEL_SIZE, LIGHT};
use crate::state::{Action, Bench, Cross, OnProbes, TileId};

/// Begins to place a probe, or leaves it.
pub fn begin(bench: &Bench) -> Option<Action> {
    bench.shot()?;
    let cross = bench.probes.cross.is_none().then_some(Cross { at: None, corner: None });
    Some(Action::Probes(OnProbes::Cross(cross)))
}

/// Where a picture lies on a tile.
#[derive(Debug, Clone, Copy)]
struct On {
    /// The picture, which may reach beyond its tile.
    picture: Rect,
    /// Screen points to a picture pixel, across and down.
    scale: Vec2,
    /// Width and height in pixels.
    size: [f64; 2],
}

impl On {
    /// The pixel under a point of the screen.
    fn pixel(&self, point: Pos2) -> [f64; 2] {
        let at = (point - self.picture.min) / self.scale;
        self.within([f64::from(at.x).floor(), f64::from(at.y).floor()])
    }

    fn within(&self, at: [f64; 2]) -> [f64; 2] {
        [at[0].clamp(0.0, self.size[0] - 1.0), at[1].clamp(0.0, self.size[1] - 1.0)]
    }

    /// An area on the screen.
    fn rect(&self, [x, y, width, height]: [f64; 4]) -> Rect {
        let min = self.picture.min + vec2(x as f32, y as f32) * self.scale;
        Rect::from_min_size(min, vec2(width as f32, height as f32) * self.scale)
    }
}

/// The area between two pixels, both of them within.
fn between(a: [f64; 2], b: [f64; 2]) -> [f64; 4] {
    [a[0].min(b[0]), a[1].min(b[1]), (a[0] - b[0]).abs() + 1.0, (a[1] - b[1]).abs() + 1.0]
}

/// Draws a tile's probes, and places one where that is under way on the active tile.
pub fn on_picture(
    ui: &mut Ui,
    bench: &Bench,
    (tile, shot): (TileId, &str),
    (place, picture, scale): (Rect, Rect, Vec2),
    actions: &mut Vec<Action>,
) {
    let size = (picture.size() / scale).round();
    let on = On { picture, scale, size: [f64::from(size.x), f64::from(size.y)] };
    let painter = ui.painter().with_clip_rect(place.intersect(ui.clip_rect()));
    let is_active = tile == bench.wall.active && bench.probes.cross.is_none();
    let probes = bench.probes_of(shot);
    let mut taken: Vec<Rect> = probes.iter().map(|probe| least(on.rect(probe.area))).collect();
    for (at, probe) in probes.iter().enumerate() {
        let rect = on.rect(probe.area);
        taken.push(mark(&painter, rect, &probe.name, (place, &taken)));
        if is_active {
            dragged(ui, (at, probe), place.intersect(least(rect)), &on, actions);
        }
    }
    if tile == bench.wall.active
        && let Some(cross) = bench.probes.cross
    {
        placing(ui, cross, place, &on, actions);
    }
}

fn placing(ui: &mut Ui, cross: Cross, place: Rect, on: &On, actions: &mut Vec<Action>) {
    let id = egui::Id::unique("place a probe");
    // A drag begins where it was pressed, not where it was noticed.
    let response = ui.interact(place, id, Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Image, true, "place a probe on the picture"));
    if !response.has_focus() {
        response.request_focus();
        // Only who has had the keys for a pass may keep the arrows.
        ui.ctx().request_repaint();
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(id, filter));
    let middle = on.within([(on.size[0] / 2.0).floor(), (on.size[1] / 2.0).floor()]);
    let at = cross.at.unwrap_or(middle);
    let (origin, pointer) = ui.input(|input| (input.pointer.press_origin(), response.interact_pointer_pos()));
    let dragged = origin.zip(pointer).map(|(from, to)| (on.pixel(from), on.pixel(to)));
    let mut next = cross;
    let put = |area| Action::Probes(OnProbes::Place(area));
    if let (true, Some(pointer)) = (response.clicked(), pointer) {
        let pixel = on.pixel(pointer);
        actions.push(put(between(pixel, pixel)));
        return;
    }
    if response.drag_stopped() {
        let from = cross.corner.unwrap_or(at);
        actions.push(put(between(from, pointer.map_or(at, |pointer| on.pixel(pointer)))));
        return;
    }
    if let (true, Some((from, to))) = (response.dragged(), dragged) {
        next = Cross { at: Some(to), corner: Some(from) };
    }
    next.at = moved(ui, at).map(|at| on.within(at)).or(next.at);
    let pressed = |ui: &Ui, key| ui.input_mut(|input| input.consume_key(egui::Modifiers::NONE, key));
    if pressed(ui, Key::Space) {
        next.corner = if cross.corner.is_some() { None } else { Some(at) };
    }
    if pressed(ui, Key::Enter) {
        actions.push(put(between(cross.corner.unwrap_or(at), at)));
        return;
    }
    if next != cross {
        actions.push(Action::Probes(OnProbes::Cross(Some(next))));
    }
    let area = between(next.corner.unwrap_or(at), next.at.unwrap_or(at));
    hair(&ui.painter().with_clip_rect(place), place, on.rect(area));
}

/// Where the arrows lead; none where none is pressed.
fn moved(ui: &Ui, [x, y]: [f64; 2]) -> Option<[f64; 2]> {
    let by = |key: Key| {
        ui.input_mut(|input| {
            let modifiers = input.modifiers;
            let step = if modifiers.shift { 16.0 } else { 1.0 };
            if input.consume_key(modifiers, key) { step } else { 0.0 }
        })
    };
    let right = by(Key::ArrowRight) - by(Key::ArrowLeft);
    let down = by(Key::ArrowDown) - by(Key::ArrowUp);
    (right != 0.0 || down != 0.0).then_some([x + right, y + down])
}

/// Takes a probe along with the pointer, pixel by pixel; it stays where it is let go.
fn dragged(ui: &Ui, (at, probe): (usize, &Placed), rect: Rect, on: &On, actions: &mut Vec<Action>) {
    let id = ui.scope_id().with(("probe on the picture", at));
    let response = ui.interact(rect, id, Sense::drag());
    let (origin, pointer) = ui.input(|input| (input.pointer.press_origin(), input.pointer.latest_pos()));
    let began = id.with("area");
    // Where it was pressed is forgotten when it is let go.
    if let (true, Some(origin)) = (response.drag_started(), origin) {
        ui.data_mut(|data| data.insert_temp(began, (probe.area, origin)));
    }
    let from: Option<([f64; 4], Pos2)> = ui.data(|data| data.get_temp(began));
    if let (true, Some((from, origin)), Some(pointer)) = (response.dragged() || response.drag_stopped(), from, pointer)
    {
        let by = (pointer - origin) / on.scale;
        let [x, y, width, height] = from;
        let to = [x + f64::from(by.x.round()), y + f64::from(by.y.round()), width, height];
        let to = within(to, Some(on.size));
        if to != probe.area || response.drag_stopped() {
            actions.push(Action::Probes(OnProbes::Move(at, to, response.drag_stopped())));
        }
    }
}

/// The frame that a probe is drawn with: never too small to be seen and taken.
fn least(rect: Rect) -> Rect {
    Rect::from_center_size(rect.center(), rect.size().max(vec2(9.0, 9.0)))
}

/// A light line on a dark one, to be seen on every picture.
fn twice(draw: impl Fn(Stroke) -> egui::layers::ShapeIdx) {
    draw(Stroke::new(3.0, BLACK));
    draw(Stroke::new(1.0, LIGHT));
}

/// A probe: an open frame with its name beside; gives back where the name stands. It keeps out of what is taken, where
/// there is room within the tile.
fn mark(painter: &Painter, rect: Rect, name: &str, (place, taken): (Rect, &[Rect])) -> Rect {
    let least = least(rect);
    twice(|stroke| painter.rect_stroke(least, 0.0, stroke, StrokeKind::Middle));
    let font = egui::FontId::proportional(LABEL_SIZE);
    let text = painter.layout_no_wrap(name.to_string(), font, LIGHT);
    let own = beside(least, text.size() + vec2(6.0, 0.0), place, taken);
    painter.rect_filled(own, 0.0, BLACK);
    painter.galley(own.min + vec2(3.0, 0.0), text, LIGHT);
    own
}

/// Where a name of a size stands by a frame: at its right, else left, above or below, wherever nothing else is; where there
/// is no such place, where it covers least, within the tile.
fn beside(frame: Rect, size: Vec2, place: Rect, taken: &[Rect]) -> Rect {
    let right = pos2(frame.right() + 2.0, frame.top() - 2.0);
    let left = pos2(frame.left() - 2.0 - size.x, frame.top() - 2.0);
    let (above, below) = (frame.top() - 2.0 - size.y, frame.bottom() + 2.0);
    // Flush with the frame's left side, or at the right edge of a tile with its right side.
    let flush = [frame.left(), frame.right() - size.x];
    let [above, above_left] = flush.map(|x| pos2(x, above));
    let [below, below_left] = flush.map(|x| pos2(x, below));
    let places = [right, left, above, below, above_left, below_left].map(|at| Rect::from_min_size(at, size));
    let covered = |own: &Rect| -> f32 { taken.iter().map(|other| own.intersect(*other)).map(area).sum() };
    let inside = places.into_iter().filter(|own| place.contains_rect(*own));
    inside.min_by(|a, b| covered(a).total_cmp(&covered(b))).unwrap_or(places[0])
}

fn area(rect: Rect) -> f32 {
    if rect.is_positive() { rect.area() } else { 0.0 }
}

/// Lines across the picture that leave the middle open.
fn hair(painter: &Painter, place: Rect, rect: Rect) {
    let open = Rect::from_center_size(rect.center(), rect.size().max(vec2(13.0, 13.0)));
    let (x, y) = (open.center().x, open.center().y);
    for [from, to] in [
        [pos2(place.left(), y), pos2(open.left(), y)],
        [pos2(open.right(), y), pos2(place.right(), y)],
        [pos2(x, place.top()), pos2(x, open.top())],
        [pos2(x, open.bottom()), pos2(x, place.bottom())],
    ] {
        twice(|stroke| painter.line_segment([from, to], stroke));
    }
    twice(|stroke| painter.rect_stroke(open, 0.0, stroke, StrokeKind::Middle));
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_of_near_probes_stand_clear_of_each_other_and_within_the_tile() {
        let place = Rect::from_min_size(pos2(0.0, 0.0), vec2(400.0, 200.0));
        let frames = [pos2(100.0, 100.0), pos2(112.0, 100.0), pos2(392.0, 100.0)]
            .map(|at| Rect::from_center_size(at, vec2(9.0, 9.0)));
        let mut taken = frames.to_vec();
        for frame in frames {
            let own = beside(frame, vec2(60.0, 14.0), place, &taken);
            assert!(place.contains_rect(own), "{own:?}");
            assert!(taken.iter().all(|other| !other.intersects(own)), "{own:?}");
            taken.push(own);
        }
        // At the right edge with another frame at the left: above, flush with the right side.
        let [near, last] =
            [pos2(370.0, 100.0), pos2(392.0, 100.0)].map(|at| Rect::from_center_size(at, vec2(9.0, 9.0)));
        let own = beside(last, vec2(60.0, 14.0), place, &[near, last]);
        assert_eq!((own.right(), own.bottom()), (last.right(), last.top() - 2.0));
        // Taken but for a strip there: it covers that strip.
        let strip = Rect::from_min_max(pos2(0.0, 0.0), pos2(400.0, 81.0));
        let covering =
            beside(last, vec2(60.0, 14.0), place, &[near, strip, Rect::from_min_max(pos2(0.0, 104.0), place.max)]);
        assert_eq!(covering, own);
        // Nowhere is free: at the right as ever.
        let full = [place];
        assert_eq!(beside(frames[0], vec2(60.0, 14.0), place, &full).left(), frames[0].right() + 2.0);
    }
}
