//! What every pixel of a picture is made of.

use frame::Size;
use rayon::prelude::*;

use super::march::{Hit, Moment};
use super::scene::Scene;
use super::shade::{Known, Seen, look, look_at};
use crate::material::Material;
use crate::space::{Ray, View};

/// A part of a pixel: what a material sends of a source's light. With every source at its full level the pixel is the sum
/// over its parts of weight times the material's colour under the source.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Part {
    /// Position of the material in the palette.
    pub material: u8,
    /// Which of the set-up's sources.
    pub source: u8,
    /// Light, where a perfect diffuser in full light is 1.
    pub weight: f32,
}

impl Part {
    /// A part; positions beyond 255 do not exist in a palette.
    pub fn new(material: Material, source: usize, weight: f64) -> Self {
        Self { material: material.index() as u8, source: source as u8, weight: weight as f32 }
    }
}

/// A rectangle of a picture that is traced: pixels from the left upper corner.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Window {
    /// Leftmost column.
    pub x: u32,
    /// Uppermost row.
    pub y: u32,
    /// Columns.
    pub width: u32,
    /// Rows.
    pub height: u32,
}

/// The parts of pixels, one pixel after the other.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Runs {
    /// Where each pixel's parts begin; one more than there are pixels.
    starts: Vec<u32>,
    parts: Vec<Part>,
}

impl Runs {
    /// Of rows: how many parts each pixel has, and the parts.
    pub fn of(rows: Vec<(Vec<u32>, Vec<Part>)>) -> Self {
        let mut runs = Self { starts: Vec::new(), parts: Vec::new() };
        for (counts, parts) in rows {
            let mut at = runs.parts.len() as u32;
            for count in counts {
                runs.starts.push(at);
                at += count;
            }
            runs.parts.extend(parts);
        }
        runs.starts.push(runs.parts.len() as u32);
        runs
    }

    /// The parts of a pixel.
    pub fn pixel(&self, at: usize) -> &[Part] {
        &self.parts[self.starts[at] as usize..self.starts[at + 1] as usize]
    }

    /// Pixels.
    pub fn len(&self) -> usize {
        self.starts.len() - 1
    }
}

/// What the pixels of a window are made of, row by row.
#[derive(Debug, Clone, PartialEq)]
pub struct Plate {
    window: Window,
    runs: Runs,
    /// Whether a pixel's middle shows a body that moves.
    moves: Vec<bool>,
}

impl Plate {
    /// Traces all of a picture of `size` at a moment.
    pub fn whole(scene: &Scene, view: &View, size: Size, seconds: f64) -> Self {
        Self::of(scene, view, size, Window { x: 0, y: 0, width: size.width, height: size.height }, seconds)
    }

    /// Traces a window of a picture.
    pub fn of(scene: &Scene, view: &View, size: Size, window: Window, seconds: f64) -> Self {
        let raster = Raster { moment: Moment::of(scene, seconds), view, size };
        let (width, height) = (i64::from(window.width), i64::from(window.height));
        // A row and a column more on each side, so that an edge between pixels is seen from both.
        let row = |y: i64| -> Vec<Sample> {
            (-1..=width).map(|x| raster.centre(i64::from(window.x) + x, i64::from(window.y) + y)).collect()
        };
        let samples: Vec<Vec<Sample>> = (-1..=height).into_par_iter().map(row).collect();
        let row = |y: usize| {
            let (mut counts, mut all) = (Vec::with_capacity(window.width as usize), Vec::new());
            for x in 0..window.width as usize {
                let own = &samples[y + 1][x + 1];
                let around = [&samples[y][x + 1], &samples[y + 2][x + 1], &samples[y + 1][x], &samples[y + 1][x + 2]];
                let before = all.len();
                raster.pixel(i64::from(window.x) + x as i64, i64::from(window.y) + y as i64, own, around, &mut all);
                counts.push((all.len() - before) as u32);
            }
            (counts, all)
        };
        let runs = Runs::of((0..window.height as usize).into_par_iter().map(row).collect());
        let moves = |sample: &Sample| sample.shape.is_some_and(|shape| scene.shapes[shape].moves());
        let inner = samples[1..=window.height as usize].iter().flat_map(|row| &row[1..=window.width as usize]);
        Self { window, runs, moves: inner.map(moves).collect() }
    }

    /// The windows of a picture that change while its scene moves; none overlap.
    pub fn moving(scene: &Scene, view: &View, size: Size) -> Vec<Window> {
        let half = f64::from(size.height) / 2.0;
        let (middle_x, middle_y) = (f64::from(size.width) / 2.0, half);
        let edge = |value: f64, most: u32| value.clamp(0.0, f64::from(most)) as u32;
        let mut windows: Vec<Window> = Vec::new();
        for bounds in scene.moving() {
            let [left, lower, right, upper] = view.covered(&bounds);
            let (x, y) =
                (edge(middle_x + left * half - 2.0, size.width), edge(middle_y - upper * half - 2.0, size.height));
            let end_x = edge(middle_x + right * half + 3.0, size.width);
            let end_y = edge(middle_y - lower * half + 3.0, size.height);
            let mut window = Window { x, y, width: end_x - x, height: end_y - y };
            if window.width == 0 || window.height == 0 {
                continue;
            }
            while let Some(at) = windows.iter().position(|other| overlap(other, &window)) {
                window = around(&windows.swap_remove(at), &window);
            }
            windows.push(window);
        }
        windows
    }

    /// The rectangle that it covers.
    pub fn window(&self) -> Window {
        self.window
    }

    /// The parts of a pixel of the window, counted row by row.
    pub fn pixel(&self, at: usize) -> &[Part] {
        self.runs.pixel(at)
    }

    /// Whether a pixel's middle shows a body that moves; none does beyond the window.
    pub fn moves(&self, x: i64, y: i64) -> bool {
        let (x, y) = (x - i64::from(self.window.x), y - i64::from(self.window.y));
        let inside = (0..i64::from(self.window.width)).contains(&x) && (0..i64::from(self.window.height)).contains(&y);
        inside && self.moves[(y * i64::from(self.window.width) + x) as usize]
    }

    /// Pixels of the window.
    pub fn len(&self) -> usize {
        self.runs.len()
    }
}

fn overlap(a: &Window, b: &Window) -> bool {
    a.x < b.x + b.width && b.x < a.x + a.width && a.y < b.y + b.height && b.y < a.y + a.height
}

fn around(a: &Window, b: &Window) -> Window {
    let (x, y) = (a.x.min(b.x), a.y.min(b.y));
    let end_x = (a.x + a.width).max(b.x + b.width);
    let end_y = (a.y + a.height).max(b.y + b.height);
    Window { x, y, width: end_x - x, height: end_y - y }
}

/// The ray through a pixel's middle: what it saw, and whether that is enough.
pub(super) struct Sample {
    parts: Vec<Part>,
    shape: Option<usize>,
    seen: Option<(f64, crate::space::Vec3)>,
    fine: bool,
}

/// Rays a side within a pixel where an edge runs through it.
const FINE: u32 = 3;
/// Things of which a pixel shows more than this share are too small for one ray.
const SMALL: f64 = 0.5;
/// Rays a side within a pixel where the same surface only has another light or paint.
const TEXTURE: u32 = 2;

/// A picture of a moment.
pub(super) struct Raster<'a> {
    pub moment: Moment<'a>,
    pub view: &'a View,
    pub size: Size,
}

impl Raster<'_> {
    /// The ray through a place of the picture, in pixels from its left upper corner.
    fn ray(&self, x: f64, y: f64) -> Ray {
        let half = f64::from(self.size.height) / 2.0;
        self.view.ray((x - f64::from(self.size.width) / 2.0) / half, (half - y) / half)
    }

    /// What the ray through a pixel's middle meets.
    pub fn meet(&self, x: i64, y: i64) -> Option<Hit> {
        self.moment.meet(&self.ray(x as f64 + 0.5, y as f64 + 0.5))
    }

    fn centre(&self, x: i64, y: i64) -> Sample {
        self.centre_at(x, y, self.meet(x, y))
    }

    /// The ray through a pixel's middle, where it is known what it meets.
    pub fn centre_at(&self, x: i64, y: i64, hit: Option<Hit>) -> Sample {
        let mut parts = Vec::new();
        let ray = self.ray(x as f64 + 0.5, y as f64 + 0.5);
        let Seen { hit, fine: small } = look_at(&self.moment, &ray, hit, 1.0, &mut Known::default(), &mut parts);
        let seen = hit.map(|hit| (hit.metres, hit.normal));
        let shown = |metres: f64| metres * self.view.height() / f64::from(self.size.height);
        let fine = small.zip(hit).is_some_and(|(small, hit)| shown(hit.metres) > SMALL * small);
        Sample { parts: merged(parts), shape: hit.map(|hit| hit.shape), seen, fine }
    }

    /// Adds a pixel's parts, by as many rays as it and those above, below, left and right of it ask for.
    pub fn pixel(&self, x: i64, y: i64, own: &Sample, around: [&Sample; 4], all: &mut Vec<Part>) {
        if own.fine || around.into_iter().any(|other| edge(own, other)) {
            all.extend(self.finely(x as f64, y as f64, FINE, true));
        } else if around.into_iter().any(|other| unlike(own, other)) {
            all.extend(self.finely(x as f64, y as f64, TEXTURE, false));
        } else {
            all.extend_from_slice(&own.parts);
        }
    }

    /// A pixel from its left upper corner, by many rays, `side` of them across and down.
    ///
    /// With `sharing` the rays of a column share what they know of the light. Each column begins a row further down, so
    /// that a shadow's edge through the pixel still has as many steps as there are columns, however it runs.
    fn finely(&self, x: f64, y: f64, side: u32, sharing: bool) -> Vec<Part> {
        let (step, mut parts) = (1.0 / f64::from(side), Vec::new());
        for across in 0..side {
            let mut known = Known::default();
            for turn in 0..side {
                let down = (across + turn) % side;
                let ray = self.ray(x + (f64::from(across) + 0.5) * step, y + (f64::from(down) + 0.5) * step);
                if !sharing {
                    known = Known::default();
                }
                look(&self.moment, &ray, step * step, &mut known, &mut parts);
            }
        }
        merged(parts)
    }
}

/// Whether two neighbours see different bodies, or different sides of one.
fn edge(a: &Sample, b: &Sample) -> bool {
    if a.shape != b.shape {
        return true;
    }
    let (Some((near, normal)), Some((far, other))) = (a.seen, b.seen) else { return false };
    normal.dot(other) < 0.75 || (near - far).abs() > 0.02 * near
}

/// Whether two neighbours on a surface are lit or painted so differently that one ray is not enough.
fn unlike(a: &Sample, b: &Sample) -> bool {
    if let (Some((_, normal)), Some((_, other))) = (a.seen, b.seen)
        && normal.dot(other) < 0.9
    {
        return true;
    }
    let sum = |sample: &Sample| sample.parts.iter().map(|part| part.weight).sum::<f32>();
    let (one, other) = (sum(a), sum(b));
    if (one - other).abs() > 0.12 * (one.max(other) + 0.02) {
        return true;
    }
    main_material(a) != main_material(b)
}

fn main_material(sample: &Sample) -> Option<u8> {
    sample.parts.iter().max_by(|a, b| a.weight.total_cmp(&b.weight)).map(|part| part.material)
}

/// Parts of one material and source as one, in a fixed order.
fn merged(mut parts: Vec<Part>) -> Vec<Part> {
    parts.sort_by_key(|part| (part.material, part.source));
    parts.dedup_by(|later, kept| {
        let same = (later.material, later.source) == (kept.material, kept.source);
        if same {
            kept.weight += later.weight;
        }
        same
    });
    parts
}
