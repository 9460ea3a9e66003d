//! Counts as a texture, made once for as long as neither counts nor size change.

use std::sync::Arc;

use egui::{Color32, ColorImage, Id, Rect, TextureHandle, TextureOptions, Ui, pos2};

use crate::pictures::Counted;

/// A texture with what it was made of.
#[derive(Clone)]
struct Made {
    counted: Arc<Counted>,
    size: [u32; 2],
    texture: TextureHandle,
}

/// Paints counts on a place. `shares` says how light each pixel is, 0 to 1, row by row from the top; there are a multiple of
/// `columns` of them across.
pub fn paint(
    ui: &Ui,
    name: Id,
    (place, columns): (Rect, u32),
    counted: &Arc<Counted>,
    shares: impl FnOnce([u32; 2]) -> Vec<f64>,
) {
    let size = size_of(place, columns, ui.pixels_per_point());
    let made: Option<Made> = ui.data(|data| data.get_temp(name));
    let made = match made {
        Some(made) if Arc::ptr_eq(&made.counted, counted) && made.size == size => made,
        earlier => {
            let pixels = shares(size).into_iter().map(light).collect();
            let image = ColorImage::new(size.map(|side| side as usize), pixels);
            let texture = match earlier {
                Some(Made { mut texture, .. }) => {
                    texture.set(image, TextureOptions::NEAREST);
                    texture
                }
                None => ui.ctx().load_texture("traces", image, TextureOptions::NEAREST),
            };
            let made = Made { counted: Arc::clone(counted), size, texture };
            ui.data_mut(|data| data.insert_temp(name, made.clone()));
            made
        }
    };
    let whole = Rect::from_min_max(pos2(0.0, 0.0), pos2(1.0, 1.0));
    ui.painter().image(made.texture.id(), place, whole, Color32::WHITE);
}

/// As many pixels as a place has, or a few less across.
fn size_of(place: Rect, columns: u32, pixels_per_point: f32) -> [u32; 2] {
    let [across, down] =
        [place.width(), place.height()].map(|side| ((side * pixels_per_point).round() as u32).clamp(1, 4096));
    [(across - across % columns).max(columns), down]
}

/// Light over what lies below, which is seen through it.
fn light(share: f64) -> Color32 {
    Color32::from_white_alpha((share.clamp(0.0, 1.0) * 235.0).round() as u8)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_parade_has_thirds_of_whole_pixels() {
        for width in [0.0, 1.0, 2.0, 3.0, 606.4, 607.0, 608.0] {
            let place = Rect::from_min_max(pos2(0.0, 0.0), pos2(width, 136.0));
            let [across, down] = size_of(place, 3, 1.0);
            assert!(across > 0 && across.is_multiple_of(3) && f64::from(across) <= f64::from(width).round().max(3.0));
            assert_eq!(down, 136);
        }
    }
}
