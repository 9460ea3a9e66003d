//! The table of probes.

use egui::{Button, Key, Label, Rect, ScrollArea, TextEdit, Ui, UiBuilder, pos2, vec2};

use session::beside::{Kind, Placed};

use super::figures::{NONE, delta_e, levels, stops, white};
use super::moving;
use crate::look::{GAP, LABEL, LINE, figure, label};
use crate::pictures::Pictures;
use crate::state::{Action, Bench, OfTile, OnProbes, Read, TileId};

/// The height of a row.
const HEIGHT: f32 = 18.0;
/// The widths of name, levels, stops, white and Delta E.
const WIDTHS: [f32; 5] = [56.0, 92.0, 40.0, 84.0, 28.0];
/// The width of what takes a probe away.
const AWAY: f32 = 12.0;
/// The width of what lies under a probe.
const KIND: f32 = 14.0;

/// Draws the table: a row for each probe of the active tile's shot, a group of columns for the original and for each tile.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, actions: &mut Vec<Action>) {
    let Some(shot) = bench.shot() else { return };
    let shown = pictures.of(bench.wall.active).and_then(|outcome| outcome.shown.as_ref());
    let size = shown.map(|shown| [shown.size().width, shown.size().height].map(f64::from));
    let probes = bench.probes_of(shot);
    let groups = groups(bench, shot);
    let whole = ui.max_rect().shrink2(vec2(GAP, 0.0));
    let mut ui = ui.new_child(UiBuilder::new().max_rect(whole));
    ui.set_clip_rect(whole);
    ScrollArea::both().id_salt("readings").auto_shrink(false).show(&mut ui, |ui| {
        ui.spacing_mut().item_spacing = vec2(GAP, 0.0);
        ui.spacing_mut().interact_size.y = 16.0;
        ui.spacing_mut().button_padding = vec2(2.0, 0.0);
        heading(ui, bench, &groups, actions);
        if bench.playing.plays && !probes.is_empty() {
            ui.label(label(format!("read on frame {}, where play began", bench.frame)));
        }
        if probes.is_empty() {
            ui.label(label("P places a probe: press for a point, drag for an area, or arrows and Enter"));
        }
        for (at, probe) in probes.iter().enumerate() {
            ui.horizontal(|ui| {
                cell(ui, WIDTHS[0], |ui| name(ui, bench, (at, probe), size, actions));
                let away = ui.add(Button::new(label("\u{d7}")).frame_when_inactive(false));
                away.widget_info(|| {
                    egui::WidgetInfo::labeled(egui::Role::Button, true, format!("take {} away", probe.name))
                });
                if away.clicked() {
                    actions.push(Action::Probes(OnProbes::Remove(at)));
                }
                cell(ui, KIND, |ui| kind(ui, at, probe, actions));
                for group in &groups {
                    figures(ui, group.read(at));
                }
            });
        }
        if ui.add(Button::new(label("verdict"))).on_hover_text("all verdict figures of this shot (Shift+Q)").clicked() {
            actions.extend(super::keys::all(bench));
        }
        for fault in groups.iter().filter_map(|group| group.of?.fault.as_ref()) {
            ui.label(figure(fault));
        }
    });
}

/// A group of columns: what is read where.
struct Group<'a> {
    words: String,
    of: Option<&'a OfTile>,
    is_before: bool,
}

impl Group<'_> {
    fn read(&self, at: usize) -> Option<Read> {
        let both = self.of?.probes.get(at)?;
        if self.is_before { both.before } else { both.after }
    }
}

/// The original once, then every tile that shows the shot.
fn groups<'a>(bench: &'a Bench, shot: &str) -> Vec<Group<'a>> {
    let of = |tile: TileId| bench.probes.read.get(&tile).filter(|of| of.shot == shot);
    let before = Group { words: "original".to_string(), of: of(bench.wall.active), is_before: true };
    let tiles = bench.wall.tiles.iter().enumerate().filter(|(_, tile)| tile.shot.as_deref() == Some(shot));
    let after = tiles.map(|(at, tile)| {
        let words = bench.candidate_of(tile).unwrap_or("no candidate").to_string();
        Group { words, of: of(at), is_before: false }
    });
    std::iter::once(before).chain(after).collect()
}

fn heading(ui: &mut Ui, bench: &Bench, groups: &[Group<'_>], actions: &mut Vec<Action>) {
    let top = ui.cursor().top();
    ui.horizontal(|ui| {
        cell(ui, WIDTHS[0] + GAP + AWAY + GAP + KIND, |ui| {
            let on = bench.probes.cross.is_some();
            let button = ui.add(Button::new(label(if on { "placing" } else { "add probe" })).selected(on));
            if button.on_hover_text("press on the picture, or arrows and Enter (P)").clicked() {
                actions.extend(super::begin(bench));
            }
        });
        for group in groups {
            let bits = group.of.and_then(|_| group.read(0)?.bits);
            let code = bits.map_or_else(|| "code".to_string(), |bits| format!("{bits} bit"));
            let words = [format!("{}, {code}", group.words), "stops".into(), "mired  Duv".into(), "\u{2206}E".into()];
            let hints = [
                "mean of red, green and blue",
                "from mid grey, in the scene's light",
                "white from D65: plus is warmer, plus is greener",
                "2000, to the D65 neutral that is as light",
            ];
            for ((words, hint), width) in words.iter().zip(hints).zip(WIDTHS.iter().skip(1)) {
                if is_hidden(ui, *width) {
                    continue;
                }
                cell(ui, *width, |ui| {
                    ui.add(Label::new(label(words)).selectable(false).truncate()).on_hover_text(hint);
                });
            }
        }
    });
    let stroke = egui::Stroke::new(1.0, LINE);
    ui.painter().hline(ui.max_rect().x_range(), top + HEIGHT, stroke);
}

fn figures(ui: &mut Ui, read: Option<Read>) {
    let texts = match &read {
        Some(read) => [levels(read), stops(read), white(read), delta_e(read)],
        None => [NONE; 4].map(str::to_string),
    };
    for (text, width) in texts.into_iter().zip(WIDTHS.iter().skip(1)) {
        if is_hidden(ui, *width) {
            continue;
        }
        cell(ui, *width, |ui| {
            let text = figure(text);
            let text = if read.is_some() { text } else { text.color(LABEL) };
            ui.add(Label::new(text).truncate());
        });
    }
}

/// A probe's name; a press writes a new one. Enter keeps it, Escape leaves the old one.
fn name(ui: &mut Ui, bench: &Bench, (at, probe): (usize, &Placed), size: Option<[f64; 2]>, actions: &mut Vec<Action>) {
    let name = probe.name.as_str();
    let naming = |name: Option<(usize, String)>| Action::Probes(OnProbes::Naming(name));
    let Some((_, so_far)) = bench.probes.naming.as_ref().filter(|(own, _)| *own == at) else {
        let button = ui.add(Button::new(figure(name)).frame_when_inactive(false).truncate());
        if button.has_focus() && ui.input(|input| input.key_pressed(Key::Delete)) {
            actions.push(Action::Probes(OnProbes::Remove(at)));
        }
        moving::by_keys(ui, &button, (at, probe), size, actions);
        let hint = "press to name it; arrows move it, with Shift by ten, with Ctrl its size; / says what lies under it; \
                    Delete takes it away";
        if button.on_hover_text(hint).clicked() {
            actions.push(naming(Some((at, name.to_string()))));
        }
        return;
    };
    let mut text = so_far.clone();
    let id = egui::Id::unique(("name of a probe", at));
    let response = ui.add(TextEdit::singleline(&mut text).id(id).desired_width(f32::INFINITY).margin(vec2(2.0, 0.0)));
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::TextInput, true, format!("name of {name}")));
    if response.changed() {
        actions.push(naming(Some((at, text.clone()))));
    }
    if response.lost_focus() {
        // Escape has been taken by then, as what returns from everything.
        let is_left = actions.contains(&Action::Return);
        actions.push(if is_left { naming(None) } else { Action::Probes(OnProbes::Name(at, text)) });
    } else if !response.has_focus() {
        response.request_focus();
    }
}

/// What lies under a probe; a press says the next.
fn kind(ui: &mut Ui, at: usize, probe: &Placed, actions: &mut Vec<Action>) {
    // A letter, so that two groups of figures fit beside it in the narrowest window.
    let letter = match probe.kind {
        Kind::Any => "\u{b7}",
        Kind::Grey => "G",
        Kind::Skin => "S",
        Kind::Foliage => "F",
    };
    let button = ui.add(Button::new(label(letter)).frame_when_inactive(false));
    let words = format!("what lies under {}: {}", probe.name, probe.kind.words());
    button.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, true, words.clone()));
    let hint = format!(
        "{}: press for the next of grey card (G), skin (S), foliage (F), anything; the verdict knows grey by the card, and \
         keeps hues of skin and foliage apart",
        probe.kind.words()
    );
    if button.on_hover_text(hint).clicked() {
        actions.push(Action::Probes(OnProbes::Kind(at, probe.kind.next())));
    }
}

/// Whether a cell would be cut by the edge of the table: it is left empty until it is scrolled to.
fn is_hidden(ui: &mut Ui, width: f32) -> bool {
    let left = ui.cursor().left();
    let edge = ui.clip_rect().right();
    let is_cut = left < edge && left + width > edge;
    if is_cut {
        ui.allocate_space(vec2(width, HEIGHT));
    }
    is_cut
}

/// Draws something in a cell of a width.
fn cell(ui: &mut Ui, width: f32, draw: impl FnOnce(&mut Ui)) {
    let corner = ui.cursor().min;
    let rect = Rect::from_min_max(corner, pos2(corner.x + width, corner.y + HEIGHT));
    let _ = ui.allocate_space(vec2(width, HEIGHT));
    let layout = egui::Layout::left_to_right(egui::Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().id_salt(corner.x as i32).max_rect(rect).layout(layout));
    ui.set_clip_rect(rect.intersect(ui.clip_rect()));
    draw(&mut ui);
}
