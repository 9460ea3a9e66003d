//! What a ray meets, and how much of a lamp a place sees.
//!
//! Each body is searched on its own, along the part of the ray that its box holds, so that a ray pays for the bodies that
//! it comes near and not for the whole scene.

use super::grid::Grid;
use super::scene::Scene;
use super::shape::{Halo, Shape};
use super::tree::Tree;
use crate::space::{Ray, Vec3, smooth, v3};

/// Steps after which a ray that grazes a surface is taken to meet it.
const STEPS: usize = 160;
/// How near is met, in metres a metre of distance.
const NEAR: f64 = 1.5e-4;
/// Farther than this from a place nothing shades it, in metres.
const SHADING: f64 = 12.0;

/// A scene at a moment, made ready to be searched.
pub struct Moment<'a> {
    /// The scene.
    pub scene: &'a Scene,
    /// Seconds from the first frame.
    pub seconds: f64,
    /// What glows about its brightest bodies.
    pub halos: Vec<Halo>,
    bodies: Tree,
    shading: Tree,
    /// Distances of still bodies and of moving ones, where they are dear.
    still: &'a [Option<Grid>],
    moving: Vec<Option<Grid>>,
}

/// A body at a moment.
struct Body<'a> {
    shape: &'a dyn Shape,
    grid: Option<&'a Grid>,
    seconds: f64,
}

impl Body<'_> {
    fn distance(&self, p: Vec3) -> f64 {
        let far = self.grid.and_then(|grid| grid.distance(p));
        far.unwrap_or_else(|| self.shape.distance(p, self.seconds))
    }
}

/// Where a ray meets a body.
#[derive(Debug, Clone, Copy)]
pub struct Hit {
    /// The body.
    pub shape: usize,
    /// Metres along the ray.
    pub metres: f64,
    /// The place.
    pub place: Vec3,
    /// The outward normal.
    pub normal: Vec3,
}

impl<'a> Moment<'a> {
    /// Of a scene, `seconds` from its first frame.
    pub fn of(scene: &'a Scene, seconds: f64) -> Self {
        let boxes = |wanted: fn(&dyn Shape) -> bool| {
            let shapes = scene.shapes.iter().enumerate().filter(|(_, shape)| wanted(shape.as_ref()));
            Tree::of(shapes.map(|(number, shape)| (number as u32, shape.bounds())).collect())
        };
        let halos = scene.shapes.iter().filter_map(|shape| shape.halo()).collect();
        let moving = |shape: &dyn Shape| (shape.dear() && shape.moves()).then(|| Grid::of(shape, seconds));
        Self {
            scene,
            seconds,
            halos,
            bodies: boxes(|shape| shape.seen()),
            shading: boxes(|shape| shape.shades()),
            still: scene.still.of(&scene.shapes),
            moving: scene.shapes.iter().map(|shape| moving(shape.as_ref())).collect(),
        }
    }

    fn body(&self, number: u32) -> Body<'_> {
        let number = number as usize;
        let grid = self.still[number].as_ref().or(self.moving[number].as_ref());
        Body { shape: self.scene.shapes[number].as_ref(), grid, seconds: self.seconds }
    }

    /// The nearest body along a ray.
    pub fn meet(&self, ray: &Ray) -> Option<Hit> {
        let mut best: Option<usize> = None;
        let mut metres = f64::INFINITY;
        self.bodies.along(ray, f64::INFINITY, |body, near, far, limit| {
            if let Some(found) = along(&self.body(body), ray, near, far.min(limit)) {
                (best, metres) = (Some(body as usize), found);
            }
            limit.min(metres)
        });
        let shape = best?;
        let place = ray.at(metres);
        let normal = normal(self.scene.shapes[shape].as_ref(), place, self.seconds);
        Some(Hit { shape, metres, place, normal })
    }

    /// 0..1: how much of a lamp a place sees. `wide` is the lamp's half width over its distance, `far` its distance.
    ///
    /// The nearest miss on the way, against how wide the lamp is there, stands for the share of its face that is free. A
    /// way that meets a body sees nothing, however thin the body, so half-light lies outside of a shadow's sharp edge.
    pub fn seen(&self, from: Vec3, towards: Vec3, wide: f64, far: f64) -> f64 {
        let (ray, far) = (Ray { from, towards }, far.min(SHADING));
        let mut least = 1.0_f64;
        self.shading.within(&ray, wide, far, |body, near, end, limit| {
            least = least.min(missed(&self.body(body), &ray, near.max(0.004), end.min(far), wide));
            if least <= 0.0 { 0.0 } else { limit }
        });
        smooth(0.0, 1.0, least)
    }

    /// 0..1: how open a place is to light from all around, by how near bodies are along its normal.
    pub fn openness(&self, from: Vec3, normal: Vec3) -> f64 {
        let mut taken = 0.0;
        for (height, weight) in [(0.012, 0.35), (0.035, 0.3), (0.09, 0.25), (0.2, 0.2)] {
            let place = from + normal * height;
            let mut nearest = height;
            self.bodies.around(place, height, |body, limit| {
                nearest = nearest.min(self.body(body).distance(place));
                limit.min(nearest)
            });
            taken += weight * (1.0 - nearest.max(0.0) / height);
        }
        (1.0 - taken).max(0.0)
    }
}

fn along(body: &Body<'_>, ray: &Ray, near: f64, far: f64) -> Option<f64> {
    let mut metres = near;
    for _ in 0..STEPS {
        let distance = body.distance(ray.at(metres));
        if distance < NEAR * (0.3 + metres) {
            // What is left of the way still counts, or the rounds of the search would show on smooth things.
            return Some(metres + distance);
        }
        metres += distance;
        if metres > far {
            return None;
        }
    }
    None
}

/// The outward normal, from the distances of four corners around the place.
fn normal(shape: &dyn Shape, p: Vec3, seconds: f64) -> Vec3 {
    let h = shape.fineness();
    let corners = [v3(1.0, -1.0, -1.0), v3(-1.0, -1.0, 1.0), v3(-1.0, 1.0, -1.0), v3(1.0, 1.0, 1.0)];
    let towards = |sum: Vec3, corner: Vec3| sum + corner * shape.distance(p + corner * h, seconds);
    corners.into_iter().fold(v3(0.0, 0.0, 0.0), towards).unit()
}

fn missed(body: &Body<'_>, ray: &Ray, near: f64, far: f64, wide: f64) -> f64 {
    let (mut least, mut metres) = (1.0_f64, near);
    let mut before: [Option<[f64; 2]>; 2] = [None; 2];
    for _ in 0..48 {
        if metres >= far {
            break;
        }
        let distance = body.distance(ray.at(metres));
        let miss = (distance / (wide * metres)).min(4.0);
        least = least.min(miss);
        if least <= 0.0 {
            break;
        }
        if let [Some(first), Some(middle)] = before {
            least = least.min(lowest(first, middle, [metres, miss]));
        }
        before = [before[1], Some([metres, miss])];
        metres += distance.max(0.004 + 0.012 * metres);
    }
    least
}

/// The lowest value of the parabola through three points, where the middle one is the lowest of them: what lies between
/// the steps of a search, which would show as rings otherwise.
fn lowest([a, at_a]: [f64; 2], [b, at_b]: [f64; 2], [c, at_c]: [f64; 2]) -> f64 {
    if at_b > at_a || at_b > at_c {
        return at_b;
    }
    let (first, second) = ((at_b - at_a) / (b - a), (at_c - at_b) / (c - b));
    let bend = (second - first) / (c - a);
    if bend <= 0.0 {
        return at_b;
    }
    let place = 0.5 * (a + b) - 0.5 * first / bend;
    (at_a + first * (place - a) + bend * (place - a) * (place - b)).max(0.5 * at_b)
}
