//! The second window: the active tile's picture alone, or the page by which a monitor is set up.

mod page;

use std::sync::Arc;

use egui::accesskit::Role;
use egui::{Align2, Color32, FontFamily, FontId, Rect, Sense, Ui, WidgetInfo, pos2, vec2};
use gpu::device::Drawn;

use crate::commands;
use crate::look::{LABEL, LABEL_SIZE};
use crate::pictures::{Pictures, Shown, shows_the_tiles_own};
use crate::state::{Action, Aim, Bench};
use crate::wall::{Placing, Shape, paint_alone, release};

pub use page::Page;

/// Draws it. The keys do here what they do in the main window.
pub fn show(
    ui: &mut Ui,
    bench: &Bench,
    pictures: &Pictures,
    page: Option<(&Page, &Arc<Drawn>)>,
    actions: &mut Vec<Action>,
) {
    commands::keys(ui, bench, actions);
    release(ui, bench, actions);
    let whole = ui.max_rect();
    // Beside a picture there is nothing, not even the window's grey.
    ui.painter().rect_filled(whole, 0.0, Color32::BLACK);
    let name = ui.interact(whole, ui.scope_id().with("whole"), Sense::hover());
    if bench.second.page {
        name.widget_info(|| WidgetInfo::labeled(Role::Image, true, "set-up page of the monitor"));
        if let Some((page, drawn)) = page {
            let scale = vec2(1.0, 1.0) / ui.pixels_per_point();
            let [width, height] = page.size.map(|side| side as f32);
            let picture = Rect::from_min_size(whole.min, vec2(width, height) * scale);
            paint_alone(ui, whole, Placing { scale, picture }, drawn);
            words(ui, page);
        }
        return;
    }
    let shown = shown(bench, pictures);
    let words = shown.map_or_else(|| "no picture".to_string(), |shown| format!("the picture of {}", shown.named.shot));
    name.widget_info(|| WidgetInfo::labeled(Role::Image, true, &words));
    if let Some(shown) = shown {
        let size = shown.size();
        let shape = Shape { pixels: [size.width, size.height], pixel_aspect: shown.pixel_aspect as f32 };
        let placed = Placing::new(whole, shape, Aim::default(), ui.pixels_per_point());
        paint_alone(ui, whole, placed.of_every(shown.share.pixels()), &shown.drawn);
    }
}

/// The picture that it shows.
fn shown<'a>(bench: &Bench, pictures: &'a Pictures) -> Option<&'a Shown> {
    let outcome = if shows_the_tiles_own(bench) { pictures.of(bench.wall.active) } else { pictures.clean() };
    outcome?.shown.as_ref()
}

/// What the second window shows its picture through, in words and, where there is more to say, why; none while it is not there.
pub fn in_words(bench: &Bench, pictures: &Pictures) -> Option<[String; 2]> {
    let second = &bench.second;
    if !second.open {
        return None;
    }
    let fault = || pictures.clean()?.shown.as_ref()?.unseen.clone();
    let plain = |words: &str| [words.to_string(), words.to_string()];
    Some(match second.monitor() {
        _ if second.page => plain("the set-up page, codes as they are"),
        Some(_) if bench.tile().is_some_and(|tile| tile.kept) => plain("codes as they are, since the picture is kept"),
        Some(monitor) => match fault() {
            Some(why) => [format!("codes as they are, not through {}", monitor.name), why],
            None => plain(&format!("through {}", monitor.name)),
        },
        None => plain("no profile, codes as they are"),
    })
}

/// Writes what stands beside the parts of the page.
fn words(ui: &Ui, page: &Page) {
    let font = FontId::new(LABEL_SIZE, FontFamily::Proportional);
    let to_points = 1.0 / ui.pixels_per_point();
    for (at, words, is_middle) in page.words() {
        let place = ui.max_rect().min + vec2(at[0], at[1]) * to_points;
        let align = if is_middle { Align2::CENTER_TOP } else { Align2::LEFT_TOP };
        ui.painter().text(pos2(place.x, place.y), align, words, font.clone(), LABEL);
    }
}

#[cfg(test)]
mod tests;
