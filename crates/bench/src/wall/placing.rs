//! Where a picture lies on its tile.

use egui::{Pos2, Rect, Vec2, pos2, vec2};

use crate::state::{Aim, Zoom};

/// Where a picture lies on a tile.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Placing {
    /// Screen points to a picture pixel, across and down.
    pub scale: Vec2,
    /// The picture on the tile, which may reach beyond it.
    pub picture: Rect,
}

/// A picture's size as it is to be placed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Shape {
    /// Its columns and rows.
    pub pixels: [u32; 2],
    /// How wide a pixel is, by its height.
    pub pixel_aspect: f32,
}

impl Shape {
    /// Its size in units of a pixel's height.
    fn size(self) -> Vec2 {
        vec2(self.pixels[0].max(1) as f32 * self.pixel_aspect, self.pixels[1].max(1) as f32)
    }
}

impl Placing {
    /// Where a picture lies on a tile, on a screen of so many pixels to a point.
    pub fn new(tile: Rect, shape: Shape, aim: Aim, pixels_per_point: f32) -> Self {
        let size = shape.size();
        let (scale, corner) = match aim.zoom {
            Zoom::Fit => {
                let scale = (tile.width() / size.x).min(tile.height() / size.y).max(f32::MIN_POSITIVE);
                (scale, tile.center() - size * scale / 2.0)
            }
            Zoom::Times(times) => {
                let scale = times / pixels_per_point;
                (scale, tile.center() - vec2(aim.middle[0], aim.middle[1]) * size * scale)
            }
        };
        // On whole pixels of the screen, so that pixel for pixel is what it says.
        let on_pixel = |place: f32| (place * pixels_per_point).round() / pixels_per_point;
        let corner = pos2(on_pixel(corner.x), on_pixel(corner.y));
        let pixels = vec2(shape.pixels[0].max(1) as f32, shape.pixels[1].max(1) as f32);
        // However narrow a picture is, a pixel of the screen is seen of it.
        let shown = (size * scale).max(Vec2::splat(1.0 / pixels_per_point));
        Self { scale: shown / pixels, picture: Rect::from_min_size(corner, shown) }
    }

    /// The same place for a smaller picture, of which each pixel stands for so many in both directions.
    pub fn of_every(self, pixels: u32) -> Self {
        Self { scale: self.scale * pixels as f32, ..self }
    }

    /// Screen pixels for one of the picture, downwards.
    pub fn times(&self, pixels_per_point: f32) -> f32 {
        self.scale.y * pixels_per_point
    }

    /// The place in the picture, in its own pixels, under a point of the screen.
    pub fn under(&self, point: Pos2) -> Pos2 {
        ((point - self.picture.min) / self.scale).to_pos2()
    }

    /// The middle that is wanted so that a drag by so much carries the picture along.
    pub fn dragged(&self, middle: [f32; 2], by: Vec2) -> [f32; 2] {
        let size = self.picture.size();
        [middle[0] - by.x / size.x, middle[1] - by.y / size.y]
    }

    /// Zoom and middle so that what lies under a point stays there while everything gets `by` times as large.
    pub fn zoomed(&self, tile: Rect, point: Pos2, by: f32, pixels_per_point: f32) -> Aim {
        let size = self.picture.size();
        let share = (point - self.picture.min) / size;
        let from_middle = (point - tile.center()) / (size * by);
        let middle = [share.x - from_middle.x, share.y - from_middle.y];
        Aim { zoom: Zoom::Times(self.times(pixels_per_point) * by), middle }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const TILE: Rect = Rect { min: pos2(100.0, 50.0), max: pos2(900.0, 500.0) };
    const HD: Shape = Shape { pixels: [1920, 1080], pixel_aspect: 1.0 };

    #[test]
    fn a_picture_fits_its_tile_at_its_true_aspect() {
        let placed = Placing::new(TILE, HD, Aim::default(), 1.0);
        assert!((placed.picture.width() / placed.picture.height() - 16.0 / 9.0).abs() < 1e-4);
        assert!(TILE.expand(0.5).contains_rect(placed.picture));
        // An anamorphic picture is twice as wide as its pixels say.
        let squeezed = Shape { pixels: [1000, 1000], pixel_aspect: 2.0 };
        let placed = Placing::new(TILE, squeezed, Aim::default(), 1.0);
        assert!((placed.picture.width() / placed.picture.height() - 2.0).abs() < 1e-4);
        assert_eq!(placed.scale.x, 2.0 * placed.scale.y);
    }

    #[test]
    fn of_the_narrowest_picture_a_pixel_is_seen() {
        for pixels in [[16384, 1], [1, 16384], [16384, 9], [1, 1]] {
            let shape = Shape { pixels, pixel_aspect: 1.0 };
            let placed = Placing::new(TILE, shape, Aim::default(), 2.0);
            assert!(placed.picture.size().min_elem() >= 0.5 - 1e-6 && TILE.expand(0.5).contains_rect(placed.picture));
            let under = placed.under(placed.picture.max);
            assert!((under.x - pixels[0] as f32).abs() < 0.1 && (under.y - pixels[1] as f32).abs() < 0.1, "{under:?}");
        }
    }

    #[test]
    fn pixel_for_pixel_is_on_whole_screen_pixels() {
        for pixels_per_point in [1.0, 1.25, 1.5, 2.0] {
            let aim = Aim { zoom: Zoom::Times(1.0), middle: [0.3337, 0.7] };
            let placed = Placing::new(TILE, HD, aim, pixels_per_point);
            assert!((placed.times(pixels_per_point) - 1.0).abs() < 1e-6);
            let corner = placed.picture.min.to_vec2() * pixels_per_point;
            assert!((corner - corner.round()).length() < 1e-2, "{corner:?}");
        }
    }

    #[test]
    fn what_lies_under_the_pointer_stays_there() {
        let (point, before) = (pos2(250.0, 120.0), Placing::new(TILE, HD, Aim::default(), 2.0));
        for by in [1.3, 4.0, 0.9] {
            let aim = before.zoomed(TILE, point, by, 2.0);
            let after = Placing::new(TILE, HD, aim, 2.0);
            assert!((after.scale.y / before.scale.y / by - 1.0).abs() < 1e-4);
            // Within the screen pixel that the corner is brought to.
            let moved = (after.under(point) - before.under(point)) * after.scale;
            assert!(moved.length() < 1.0, "{moved:?}");
        }
    }

    #[test]
    fn a_drag_carries_the_picture_along() {
        let aim = Aim { zoom: Zoom::Times(2.0), middle: [0.5; 2] };
        let before = Placing::new(TILE, HD, aim, 1.0);
        let after = Placing::new(TILE, HD, Aim { middle: before.dragged(aim.middle, vec2(40.0, -12.0)), ..aim }, 1.0);
        assert!((after.picture.min - before.picture.min - vec2(40.0, -12.0)).length() < 0.01);
    }
}
