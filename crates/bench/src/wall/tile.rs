//! One tile: a picture, or two at a seam, with the lines over and under it.

use egui::{Align, FontFamily, FontId, Layout, Rect, Sense, Ui, pos2, vec2};
use graph::Made;

use super::picture::Parts;
use super::placing::{Placing, Shape};
use super::{aim, bands, child, codes, heat, picture, seam, verdict};
use crate::look::{FILL, GAP, GROUND, ROW, TEXT, TEXT_SIZE, corner_ticks, figure, label};
use crate::pictures::{Named, OUTSIDE, Outcome, Pictures, Shown, named};
use crate::state::{Action, Bench, Look, Sheet, Tap, TileId, Zoom};

/// Draws a tile.
pub fn show(ui: &mut Ui, bench: &Bench, pictures: &Pictures, at: TileId, actions: &mut Vec<Action>) {
    let rect = ui.max_rect();
    let lines = if bench.wall.alone { 0.0 } else { ROW };
    let place = Rect::from_min_max(rect.min + vec2(0.0, lines), rect.max - vec2(0.0, lines)).shrink(2.0);
    let joined = bench.wall.seam.map(|share| (share, at + 1));
    let pair = match joined {
        Some((_, second)) => [at, second],
        None if bench.wall.difference && at > 0 => [0, at],
        None => [at, at],
    };
    let shown = pair.map(|at| pictures.of(at).and_then(|outcome| outcome.shown.as_ref()));
    if !bench.wall.alone {
        let line = Rect::from_min_size(rect.min, vec2(rect.width(), ROW));
        over(ui, line, bench, pictures, joined.map_or([at, at], |_| pair), actions);
    }

    let response = ui.interact(place, ui.scope_id().with("picture"), Sense::click_and_drag());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Image, true, words(bench, pictures, at)));
    if bench.wall.active != at
        && joined.is_none()
        && (response.clicked() || response.drag_started() || response.gained_focus())
    {
        actions.push(Action::Activate(at));
    }
    if response.clicked() {
        response.request_focus();
    }
    let mut fault = pair.iter().find_map(|at| pictures.of(*at)?.fault.clone());
    if let [Some(first), Some(second)] = shown {
        if first.size() == second.size() && first.share != second.share {
            fault = Some(
                "one of the two pictures is played smaller than the other; stop play to see their seam".to_string(),
            );
        } else if first.size() == second.size() {
            paint(ui, bench, (at, place), [first, second], &response, actions);
        } else {
            fault = Some("the two pictures differ in size, so that they have no seam and no difference".to_string());
        }
    }
    if let Some((share, _)) = joined {
        seam::show(ui, place, share, actions);
    }
    if let Some(fault) = fault {
        say(ui, place, fault);
    }
    if bench.wall.alone {
        return;
    }
    if bench.wall.active == at && bench.wall.tiles.len() > 1 && joined.is_none() {
        corner_ticks(ui.painter(), place);
    }
    let line = Rect::from_min_size(pos2(rect.left(), rect.bottom() - ROW), vec2(rect.width(), ROW));
    let is_difference = bench.wall.difference && (at > 0 || joined.is_some());
    under(ui, line, bench, at, (is_difference, shown[1]), actions);
}

/// Says over the picture why there is no newer one.
fn say(ui: &Ui, place: Rect, words: String) {
    let font = FontId::new(TEXT_SIZE, FontFamily::Proportional);
    let text = ui.painter().layout(words, font, TEXT, place.width() * 0.7);
    let field = Rect::from_center_size(place.center(), text.size());
    let painter = ui.painter_at(place);
    painter.rect_filled(field.expand(2.0 * GAP), 0.0, GROUND);
    painter.galley(field.min, text, TEXT);
}

/// Paints the picture and what lies on it, and lets it be steered.
fn paint(
    ui: &mut Ui,
    bench: &Bench,
    (at, place): (TileId, Rect),
    pair: [&Shown; 2],
    response: &egui::Response,
    actions: &mut Vec<Action>,
) {
    let size = pair[0].size();
    let shape = Shape { pixels: [size.width, size.height], pixel_aspect: pair[0].pixel_aspect as f32 };
    let placed = Placing::new(place, shape, bench.wall.aim(at), ui.pixels_per_point());
    let is_same = std::ptr::eq(pair[0], pair[1]);
    let from = match bench.wall.seam {
        Some(share) => seam::place(ui, place, share),
        None if is_same => f32::INFINITY,
        None => f32::NEG_INFINITY,
    };
    let difference = (bench.wall.difference && !is_same).then_some(bench.wall.difference_end);
    let drawn = placed.of_every(pair[0].share.pixels());
    picture::paint(ui, place, drawn, pair.map(|shown| &shown.drawn), Parts { seam: from, difference });
    codes::write(ui, place, placed, pair, from, difference);
    if bench.probes.cross.is_none() {
        aim::steer(ui, bench, at, (place, placed), response, actions);
    }
    let tile = bench.wall.tiles.get(at).filter(|tile| tile.outside.is_none() && !bench.wall.alone);
    if let Some(shot) = tile.and_then(|tile| tile.shot.as_deref()) {
        crate::readings::on_picture(ui, bench, (at, shot), (place, placed.picture, placed.scale), actions);
    }
}

/// The line over a picture: its candidate and order; over each side of a seam its own.
fn over(
    ui: &mut Ui,
    line: Rect,
    bench: &Bench,
    pictures: &Pictures,
    [left, right]: [TileId; 2],
    actions: &mut Vec<Action>,
) {
    if left == right {
        choose(ui, line, left, actions);
        let mut ui = child(ui, "over", line.shrink2(vec2(GAP, 0.0)));
        ui.horizontal(|ui| title(ui, bench, pictures, left));
        return;
    }
    let (near, far) = line.split_left_right_at_fraction(0.5);
    choose(ui, near, left, actions);
    choose(ui, far, right, actions);
    let mut left_ui = child(ui, "over left", near.shrink2(vec2(GAP, 0.0)));
    left_ui.horizontal(|ui| title(ui, bench, pictures, left));
    let mut right_ui = child(ui, "over right", far.shrink2(vec2(GAP, 0.0)));
    right_ui.with_layout(Layout::right_to_left(Align::Center), |ui| title(ui, bench, pictures, right));
}

/// The line itself can be pressed: what the tile shows is chosen then.
fn choose(ui: &Ui, line: Rect, at: TileId, actions: &mut Vec<Action>) {
    let response = ui.interact(line.shrink(1.0), ui.scope_id().with(("choose", at)), Sense::click());
    let words = format!("tile {}: choose what it shows", at + 1);
    response.widget_info(|| egui::WidgetInfo::labeled(egui::accesskit::Role::Button, true, &words));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(line.shrink(1.0), 0.0, FILL);
    }
    if response.clicked() {
        actions.extend([Action::Activate(at), Action::Lay(Some(Sheet::Tile))]);
    }
    response.on_hover_text("press to choose shot, candidate and place");
}

fn title(ui: &mut Ui, bench: &Bench, pictures: &Pictures, at: TileId) {
    // What is pressed is the line, not a word in it.
    ui.style_mut().interaction.selectable_labels = false;
    let Some(named) = of(bench, pictures, at) else {
        ui.label(label(bench.nothing_in(at)));
        return;
    };
    let is_kept = bench.wall.tiles.get(at).is_some_and(|tile| tile.kept);
    let is_outside = named.candidate == OUTSIDE;
    if is_outside || Some(named.shot.as_str()) != bench.shot() {
        ui.label(figure(&named.shot));
    }
    if named.tap == Tap::Original {
        ui.label(figure("original"));
    } else {
        ui.label(figure(&named.candidate));
    }
    let frame = shown_of(pictures, at).filter(|_| !is_outside).map(|shown| shown.frame);
    if is_kept {
        ui.label(figure(frame.map_or_else(|| "kept".to_string(), |frame| format!("kept, frame {frame}"))));
    } else if let Some(words) = stands(bench, pictures, at) {
        ui.label(figure(words));
    } else if let Some(frame) = frame.filter(|frame| *frame != bench.frame && !bench.playing.plays) {
        ui.label(label(format!("frame {frame}")));
    }
    if let Some(words) = bench.by_proof(at) {
        ui.label(figure(words));
    }
    let order = if named.tap == Tap::Original { "as shot" } else { &named.order };
    ui.add(egui::Label::new(label(order)).truncate()).on_hover_text(order);
}

/// Why a tile's picture stands still while others move.
fn stands(bench: &Bench, pictures: &Pictures, at: TileId) -> Option<String> {
    let tile = bench.wall.tiles.get(at)?;
    let is_other = tile.outside.is_none() && tile.shot.as_deref() != bench.shot();
    let moves = bench.playing.plays && !tile.kept && is_other;
    let frame = shown_of(pictures, at)?.frame;
    moves.then(|| format!("stands on frame {frame}, since another shot is played"))
}

/// The line under a picture: how it was brought to a display, or the scale of its difference; at its end how large it is shown.
fn under(
    ui: &mut Ui,
    line: Rect,
    bench: &Bench,
    at: TileId,
    (is_difference, shown): (bool, Option<&Shown>),
    actions: &mut Vec<Action>,
) {
    let line = line.shrink2(vec2(GAP, 0.0));
    let mut right = child(ui, "large", line);
    let written = right.with_layout(Layout::right_to_left(Align::Center), |ui| {
        large(bench, at).map(|words| ui.label(label(words)).rect.width() + GAP)
    });
    let used = written.inner.unwrap_or(0.0);
    let mut left = child(ui, "under", Rect::from_min_max(line.min, line.max - vec2(used, 0.0)));
    left.horizontal(|ui| {
        if is_difference {
            heat::show(ui, bench, actions);
        } else if bench.wall.tiles.get(at).is_some_and(|tile| tile.look == Look::Bands) {
            bands::show(ui);
        } else if let (false, Some(shown)) = (verdict::show(ui, bench, at), shown) {
            let is_stored = shown.named.candidate == OUTSIDE && shown.made == Made::AsOriginal;
            let words = if is_stored { "codes as stored" } else { &shown.rendering };
            ui.add(egui::Label::new(label(words)).truncate());
        }
    });
}

/// How large a picture is shown, where it does not just fit, and whether it is aimed for itself.
fn large(bench: &Bench, at: TileId) -> Option<String> {
    let own = if bench.wall.tiles.get(at)?.own.is_some() { ", aimed for itself" } else { "" };
    match bench.wall.aim(at).zoom {
        Zoom::Fit if own.is_empty() => None,
        Zoom::Fit => Some(format!("fits{own}")),
        Zoom::Times(times) if times >= 1.0 => Some(format!("{}:1{own}", (times * 100.0).round() / 100.0)),
        Zoom::Times(times) => Some(format!("1:{}{own}", (100.0 / times).round() / 100.0)),
    }
}

fn shown_of(pictures: &Pictures, at: TileId) -> Option<&Shown> {
    pictures.of(at).and_then(|outcome: &Outcome| outcome.shown.as_ref())
}

/// What a tile shows: a kept picture is what it was when it was kept.
fn of(bench: &Bench, pictures: &Pictures, at: TileId) -> Option<Named> {
    let tile = bench.wall.tiles.get(at)?;
    let kept = || shown_of(pictures, at).map(|shown| shown.named.clone());
    tile.kept.then(kept).flatten().or_else(|| named(bench, tile))
}

/// What a tile shows, in words.
fn words(bench: &Bench, pictures: &Pictures, at: TileId) -> String {
    let place = at + 1;
    match of(bench, pictures, at) {
        None => format!("tile {place}: {}", bench.nothing_in(at)),
        Some(Named { shot, candidate, .. }) if candidate == OUTSIDE => format!("tile {place}: outside picture {shot}"),
        Some(Named { shot, tap: Tap::Original, .. }) => format!("tile {place}: {shot} as shot"),
        Some(Named { shot, candidate, .. }) => format!("tile {place}: {shot} through {candidate}"),
    }
}
