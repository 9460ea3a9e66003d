//! What the active tile shows: any shot, through any candidate, at any place of its rail.

use egui::{ScrollArea, Ui};
use graph::Document;

use super::SheetUi;
use crate::look::{GAP, label};
use crate::state::{Action, Sheet, Tap, Tile};

/// The widest that a list is.
const WIDEST: f32 = 420.0;

/// Draws three lists; what is pressed is seen at once.
pub fn show(ui: &mut Ui, sheet: &mut SheetUi) {
    let at = sheet.bench.wall.active;
    let words = format!("what tile {} shows; press any of each", at + 1);
    sheet.title(ui, "tile", &words, Some("Escape leaves"));
    let Some((tile, document)) = sheet.bench.tile().cloned().zip(sheet.bench.document().cloned()) else {
        ui.label(label("no project is open"));
        return;
    };
    let candidate = sheet.bench.candidate_of(&tile).map(str::to_string);
    let outside = tile.outside.is_some();
    let mut to = |tile: Tile| sheet.actions.push(Action::Tile(at, Tile { outside: None, kept: false, ..tile }));
    let lists = [shots(&document, &tile), candidates(&document, &tile), taps(&document, &tile, candidate.as_deref())];
    let mut others = Vec::new();
    ui.columns(3, |columns| {
        for ((ui, head), (number, list)) in columns.iter_mut().zip(["shot", "candidate", "place"]).zip((0..).zip(lists))
        {
            ui.label(label(head));
            ui.add_space(GAP);
            ScrollArea::vertical().id_salt(number).auto_shrink(false).show(ui, |ui| {
                let width = (ui.available_width() - 2.0 * GAP).min(WIDEST);
                for (place, choice) in list.into_iter().enumerate() {
                    let is_now = choice.is_now && !outside;
                    let button = egui::Button::new(crate::look::figure(&choice.words));
                    let button = if is_now { button.right_text(label("shown")) } else { button };
                    let button = button.frame_when_inactive(is_now).truncate().selected(is_now);
                    let response = ui.add(button.min_size(egui::vec2(width, crate::look::ROW)));
                    if sheet.fresh && number == 0 && place == 0 {
                        response.request_focus();
                    }
                    if response.clicked() {
                        to(choice.tile);
                    }
                }
                if number == 0 && ui.button(label("a picture from outside...")).clicked() {
                    let sheet = Sheet::Outside { typed: String::new(), encoding: String::new() };
                    others.push(Action::Lay(Some(sheet)));
                }
            });
        }
    });
    sheet.actions.extend(others);
}

/// One thing that a tile can show.
struct Choice {
    words: String,
    is_now: bool,
    /// The tile as it would be.
    tile: Tile,
}

fn shots(document: &Document, tile: &Tile) -> Vec<Choice> {
    let of = |name: &String| Choice {
        words: name.clone(),
        is_now: tile.shot.as_ref() == Some(name),
        tile: Tile { shot: Some(name.clone()), ..tile.clone() },
    };
    document.shots.keys().map(of).collect()
}

fn candidates(document: &Document, tile: &Tile) -> Vec<Choice> {
    let chosen = tile.shot.as_ref().and_then(|name| document.shots.get(name)?.candidate.clone());
    let own = Choice {
        words: format!("the shot's own: {}", chosen.as_deref().unwrap_or("none chosen, so the first")),
        is_now: tile.candidate.is_none(),
        tile: at_end(Tile { candidate: None, ..tile.clone() }),
    };
    let of = |name: &String| Choice {
        words: name.clone(),
        is_now: tile.candidate.as_ref() == Some(name),
        tile: at_end(Tile { candidate: Some(name.clone()), ..tile.clone() }),
    };
    std::iter::once(own).chain(document.candidates.keys().map(of)).collect()
}

/// A place on one rail is none on another.
fn at_end(tile: Tile) -> Tile {
    let tap = if tile.tap == Tap::Original { Tap::Original } else { Tap::Result };
    Tile { tap, ..tile }
}

fn taps(document: &Document, tile: &Tile, candidate: Option<&str>) -> Vec<Choice> {
    let choice =
        |words: String, tap: Tap| Choice { words, is_now: tile.tap == tap, tile: Tile { tap, ..tile.clone() } };
    let wiring = candidate.and_then(|name| document.candidates.get(name));
    let order = wiring.and_then(|wiring| wiring.in_order().ok()).unwrap_or_default();
    let after = order.into_iter().filter_map(|at| {
        let member = &wiring?.graph().node_weight(at)?.member;
        Some(choice(format!("behind {member}"), Tap::After(at.index())))
    });
    let [first, last] = [choice("the original".into(), Tap::Original), choice("the result".into(), Tap::Result)];
    std::iter::once(first).chain(after).chain([last]).collect()
}
