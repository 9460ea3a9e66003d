//! The key of the bands, in the line under a picture: each with its stops from mid grey.

use egui::{Align2, Color32, FontId, Rect, Sense, Ui, vec2};
use measure::view::BANDS;

use crate::look::{LABEL_SIZE, ROW, label};

/// The width of a band of the key: its longest numeral fits.
const WIDTH: f32 = 30.0;
/// From here on a band is light enough for dark numerals: that of mid grey.
const LIGHT_FROM: usize = 7;

/// Draws the key.
pub fn show(ui: &mut Ui) {
    ui.label(label("stops"));
    let (rect, response) = ui.allocate_exact_size(vec2(WIDTH * BANDS.len() as f32, ROW), Sense::hover());
    for (at, band) in BANDS.iter().enumerate() {
        let left = rect.left() + WIDTH * at as f32;
        let place = Rect::from_x_y_ranges(left..=left + WIDTH, rect.y_range()).shrink2(vec2(0.0, 1.0));
        let [red, green, blue] = band.ink;
        ui.painter().rect_filled(place, 0.0, Color32::from_rgb(red, green, blue));
        let ink = if at < LIGHT_FROM { Color32::WHITE } else { Color32::BLACK };
        let font = FontId::proportional(LABEL_SIZE);
        ui.painter().text(place.center(), Align2::CENTER_CENTER, band.numeral, font, ink);
    }
    response.on_hover_text("stops of scene light from mid grey; what is clipped in the original is hatched");
}
