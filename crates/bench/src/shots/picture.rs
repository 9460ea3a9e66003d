//! A shot's small picture in its row.

use std::sync::Arc;

use egui::{Color32, ColorImage, Id, Rect, TextureHandle, TextureOptions, Ui, pos2, vec2};

use crate::state::Small;

/// A texture with what it was made of.
#[derive(Clone)]
struct Made {
    of: Arc<Small>,
    texture: TextureHandle,
}

/// Draws it on its place, in its own shape.
pub fn paint(ui: &Ui, shot: &str, small: &Arc<Small>, place: Rect) {
    let id = Id::unique(("small picture", shot));
    let made: Option<Made> = ui.data(|data| data.get_temp(id));
    let made = made.filter(|made| Arc::ptr_eq(&made.of, small)).unwrap_or_else(|| {
        let pixels = small.codes.iter().map(|[red, green, blue]| Color32::from_rgb(*red, *green, *blue)).collect();
        let texture = ui.ctx().load_texture("shot", ColorImage::new(small.size, pixels), TextureOptions::LINEAR);
        let made = Made { of: Arc::clone(small), texture };
        ui.data_mut(|data| data.insert_temp(id, made.clone()));
        made
    });
    let [across, down] = small.size.map(|side| side as f32);
    let scale = (place.width() / across).min((place.height() - 2.0) / down);
    let shown = Rect::from_center_size(place.center(), vec2(across, down) * scale);
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter().image(made.texture.id(), shown, whole, Color32::WHITE);
}
