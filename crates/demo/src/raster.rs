//! From stage to pixels: where things land in a picture of any size, and the sampling of every pixel.

use frame::Size;
use rayon::prelude::*;
use serde::{Deserialize, Serialize};

use crate::geometry::{Area, Point, at};
use crate::set::{Lighting, STAGE_HEIGHT, STAGE_WIDTH, Stage};

/// A rectangle of whole pixels.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct Rect {
    /// Leftmost column.
    pub x: u32,
    /// Uppermost row.
    pub y: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

/// The stage fitted whole into a picture, in its middle; what is left over shows more wall and bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Raster {
    size: Size,
    /// Pixels a stage unit.
    scale: f64,
    left: f64,
    top: f64,
}

impl Raster {
    /// Fits the stage into a picture.
    pub fn new(size: Size) -> Self {
        let (width, height) = (f64::from(size.width), f64::from(size.height));
        let scale = (width / STAGE_WIDTH).min(height / STAGE_HEIGHT);
        Self { size, scale, left: (width - STAGE_WIDTH * scale) / 2.0, top: (height - STAGE_HEIGHT * scale) / 2.0 }
    }

    /// The size of the picture.
    pub fn size(&self) -> Size {
        self.size
    }

    fn point(&self, x: f64, y: f64) -> Point {
        at((x - self.left) / self.scale, (y - self.top) / self.scale)
    }

    /// Edges of an area in pixels: left, top, right, bottom.
    fn edges(&self, area: &Area) -> [f64; 4] {
        [
            area.left * self.scale + self.left,
            area.top * self.scale + self.top,
            area.right * self.scale + self.left,
            area.bottom * self.scale + self.top,
        ]
    }

    /// The pixels that lie wholly inside an area, with a pixel of margin; at least one pixel.
    pub fn inside(&self, area: &Area) -> Rect {
        let [left, top, right, bottom] = self.edges(area);
        let span = |from: f64, to: f64, limit: u32| {
            let first = (from.ceil() + 1.0).min((from + to) / 2.0).max(0.0) as u32;
            let end = ((to.floor() - 1.0).max(0.0) as u32).max(first + 1).min(limit.max(1));
            (first.min(end - 1), end - first.min(end - 1))
        };
        let (x, width) = span(left, right, self.size.width);
        let (y, height) = span(top, bottom, self.size.height);
        Rect { x, y, width, height }
    }

    /// The pixels that an area touches; nothing of it outside the picture.
    fn touched(&self, area: &Area) -> Rect {
        let [left, top, right, bottom] = self.edges(area);
        let span = |from: f64, to: f64, limit: u32| {
            let first = (from.floor().max(0.0) as u32).min(limit);
            let end = (to.ceil().max(0.0) as u32).min(limit);
            (first, end.saturating_sub(first))
        };
        let (x, width) = span(left, right, self.size.width);
        let (y, height) = span(top, bottom, self.size.height);
        Rect { x, y, width, height }
    }
}

/// A linear picture, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Picture {
    /// Its size.
    pub size: Size,
    /// Linear RGB, row by row from the top left.
    pub pixels: Vec<[f32; 3]>,
}

impl Picture {
    /// Draws the whole stage at a moment (seconds).
    pub fn of(stage: &Stage, raster: &Raster, moment: f64, lighting: &Lighting) -> Self {
        let size = raster.size();
        let mut picture = Self { size, pixels: vec![[0.0; 3]; size.width as usize * size.height as usize] };
        let whole = Rect { x: 0, y: 0, width: size.width, height: size.height };
        picture.draw(stage, raster, moment, lighting, whole);
        picture
    }

    /// The same picture at another moment: only what moves is drawn again.
    pub fn at(&self, stage: &Stage, raster: &Raster, moment: f64, lighting: &Lighting) -> Self {
        let mut picture = self.clone();
        for area in stage.moving() {
            picture.draw(stage, raster, moment, lighting, raster.touched(&area));
        }
        picture
    }

    fn draw(&mut self, stage: &Stage, raster: &Raster, moment: f64, lighting: &Lighting, rect: Rect) {
        let width = self.size.width as usize;
        let columns = rect.x as usize..(rect.x + rect.width) as usize;
        if width == 0 {
            return;
        }
        self.pixels.par_chunks_mut(width).enumerate().skip(rect.y as usize).take(rect.height as usize).for_each(
            |(y, row)| {
                for x in columns.clone() {
                    row[x] = sample(stage, raster, moment, lighting, x as f64, y as f64).map(|value| value as f32);
                }
            },
        );
    }
}

/// Four sample places of a pixel, on no common row or column.
const FEW: [(f64, f64); 4] = [(0.125, 0.375), (0.375, 0.875), (0.625, 0.125), (0.875, 0.625)];
/// Four samples that differ by more than this share are not enough.
const EVEN_ENOUGH: f64 = 0.03;

/// Mean light over a pixel: four samples where it is even, sixteen where an edge or a texture crosses it.
fn sample(stage: &Stage, raster: &Raster, moment: f64, lighting: &Lighting, x: f64, y: f64) -> [f64; 3] {
    let look = |(u, v): (f64, f64)| stage.radiance(raster.point(x + u, y + v), moment, lighting);
    let few = FEW.map(look);
    if few.iter().all(|other| alike(few[0], *other)) {
        return mean(&few);
    }
    let mut many = [[0.0; 3]; 16];
    for (index, slot) in many.iter_mut().enumerate() {
        *slot = look(((index % 4) as f64 / 4.0 + 0.125, (index / 4) as f64 / 4.0 + 0.125));
    }
    mean(&many)
}

fn alike(a: [f64; 3], b: [f64; 3]) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= EVEN_ENOUGH * (a.abs() + b.abs() + 0.002))
}

fn mean(samples: &[[f64; 3]]) -> [f64; 3] {
    let mut sum = [0.0; 3];
    for sample in samples {
        for (total, value) in sum.iter_mut().zip(sample) {
            *total += value;
        }
    }
    sum.map(|total| total / samples.len() as f64)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::Light;
    use crate::material::{CARD, Material, PATCHES};
    use crate::palette::xyz_palette;
    use crate::shot::SHOTS;
    use proptest::prelude::*;

    #[test]
    fn drawing_only_what_moves_is_drawing_it_all() {
        let raster = Raster::new(Size { width: 240, height: 135 });
        for shot in SHOTS {
            let stage = Stage::new(shot.layout);
            let lighting = Lighting { key: stage.key(), palette: xyz_palette(Light::D65) };
            let first = Picture::of(&stage, &raster, 0.0, &lighting);
            for moment in [0.25, 0.65, 1.95] {
                let whole = Picture::of(&stage, &raster, moment, &lighting);
                assert!(whole == first.at(&stage, &raster, moment, &lighting), "{} at {moment} s", shot.name);
                assert!(whole != first, "{} at {moment} s", shot.name);
            }
        }
    }

    #[test]
    fn card_and_patches_are_exactly_their_spectra() {
        let size = Size { width: 320, height: 180 };
        let raster = Raster::new(size);
        for shot in SHOTS {
            let stage = Stage::new(shot.layout);
            let lighting = Lighting { key: stage.key(), palette: xyz_palette(shot.light) };
            let picture = Picture::of(&stage, &raster, 0.0, &lighting);
            let patches = (0..PATCHES).map(|index| (stage.patch(index), Material::patch(index)));
            for (area, material) in patches.chain([(stage.card(), CARD)]) {
                let rect = raster.inside(&area);
                for (x, y) in
                    (rect.y..rect.y + rect.height).flat_map(|y| (rect.x..rect.x + rect.width).map(move |x| (x, y)))
                {
                    let found = picture.pixels[(y * size.width + x) as usize];
                    for (found, expected) in found.iter().zip(lighting.palette[material.index()]) {
                        // Single float keeps 24 bits: 6e-8 of the value, and one rounding of the shading.
                        assert!(
                            (f64::from(*found) - expected).abs() <= 1.3e-7 * expected,
                            "{} {}",
                            shot.name,
                            material.name()
                        );
                    }
                }
            }
        }
    }

    #[test]
    fn pixels_hold_physical_light() {
        let raster = Raster::new(Size { width: 320, height: 180 });
        for shot in SHOTS {
            let stage = Stage::new(shot.layout);
            let lighting = Lighting { key: stage.key(), palette: xyz_palette(shot.light) };
            let picture = Picture::of(&stage, &raster, 0.5, &lighting);
            assert!(picture.pixels.iter().flatten().all(|value| value.is_finite() && *value >= 0.0), "{}", shot.name);
        }
    }

    proptest! {
        #[test]
        fn rectangles_lie_within_any_picture(width in 160_u32..2500, height in 90_u32..2500, shot in 0..SHOTS.len()) {
            let size = Size { width, height };
            let (raster, stage) = (Raster::new(size), Stage::new(SHOTS[shot].layout));
            let areas = (0..PATCHES).map(|index| stage.patch(index)).chain([stage.card(), stage.ramp()]);
            for area in areas {
                let rect = raster.inside(&area);
                prop_assert!(rect.width > 0 && rect.height > 0);
                prop_assert!(rect.x + rect.width <= width && rect.y + rect.height <= height);
                // Its corners lie on the area.
                for (x, y) in [(rect.x, rect.y), (rect.x + rect.width, rect.y + rect.height)] {
                    let p = raster.point(f64::from(x), f64::from(y));
                    prop_assert!(area.grown(1e-9).holds(p), "{rect:?} {area:?} {p:?}");
                }
            }
        }
    }
}
