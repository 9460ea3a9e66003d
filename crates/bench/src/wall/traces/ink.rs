//! Counts as a texture, made once for as long as neither counts nor size change.

use std::sync::Arc;

use egui::{Color32, ColorImage, Id, Rect, TextureHandle, TextureOptions, Ui, pos2};

use crate::look::CHANNELS;
use crate::pictures::Counted;

/// A texture with what it was made of.
#[derive(Clone)]
struct Made {
    counted: Arc<Counted>,
    size: [u32; 2],
    texture: TextureHandle,
}

/// Paints counts on a place. `pixels` gives what lies over the ground there, row by row from the top; there are a multiple of
/// `columns` of them across.
pub fn paint(
    ui: &Ui,
    name: Id,
    (place, columns): (Rect, u32),
    counted: &Arc<Counted>,
    pixels: impl FnOnce([u32; 2]) -> Vec<Color32>,
) {
    let size = size_of(place, columns, ui.pixels_per_point());
    let made: Option<Made> = ui.data(|data| data.get_temp(name));
    let made = match made {
        Some(made) if Arc::ptr_eq(&made.counted, counted) && made.size == size => made,
        earlier => {
            let image = ColorImage::new(size.map(|side| side as usize), pixels(size));
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

/// The most that covers what lies below.
const MOST: f64 = 235.0;

/// Light over what lies below, which is seen through it.
pub fn light(share: f64) -> Color32 {
    Color32::from_white_alpha((share.clamp(0.0, 1.0) * MOST).round() as u8)
}

/// Red, green and blue over one another: as light as the lightest of them, and the more neutral the more alike they are.
pub fn together(shares: [f64; 3]) -> Color32 {
    let inks = CHANNELS.map(|ink| [ink.r(), ink.g(), ink.b()].map(f64::from));
    let sums: [f64; 3] =
        std::array::from_fn(|of| inks.iter().zip(shares).map(|(ink, share)| ink[of] * share.clamp(0.0, 1.0)).sum());
    let most = sums.into_iter().fold(0.0, f64::max);
    if most <= 0.0 {
        return Color32::TRANSPARENT;
    }
    let lightest = shares.into_iter().fold(0.0, f64::max).clamp(0.0, 1.0);
    let [red, green, blue] = sums.map(|sum| (sum / most * 255.0).round() as u8);
    Color32::from_rgba_unmultiplied(red, green, blue, (lightest * MOST).round() as u8)
}

/// One channel alone, in its ink; white where there is no such channel.
pub fn channel(channel: usize, share: f64) -> Color32 {
    let mut shares = [0.0; 3];
    match shares.get_mut(channel) {
        Some(own) => *own = share,
        None => return light(share),
    }
    together(shares)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn alike_channels_are_neutral_and_one_alone_has_its_ink() {
        let grey = together([0.6; 3]);
        let sides = [grey.r(), grey.g(), grey.b()];
        assert!(sides.iter().max().unwrap() - sides.iter().min().unwrap() <= 3, "{grey:?}");
        let red = channel(0, 1.0).to_srgba_unmultiplied();
        assert!(red[0] > red[1] + 80 && red[3] > 200, "{red:?}");
        assert_eq!((together([0.0; 3]), channel(1, 0.0)), (Color32::TRANSPARENT, Color32::TRANSPARENT));
    }

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
