//! What a ray meets, and how much of a lamp a place sees.
//!
//! Each body is searched on its own, along the part of the ray that its box holds, so that a ray pays for the bodies that
//! it comes near and not for the whole scene.

use super::scene::Scene;
use super::shape::Shape;
use crate::space::{Ray, Vec3, smooth, v3};

/// Steps after which a ray that grazes a surface is taken to meet it.
const STEPS: usize = 160;
/// How near is met, in metres a metre of distance.
const NEAR: f64 = 1.5e-4;

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

/// The nearest body along a ray.
pub fn meet(scene: &Scene, ray: &Ray, seconds: f64) -> Option<Hit> {
    let mut best: Option<(usize, f64)> = None;
    for (index, shape) in scene.shapes.iter().enumerate().filter(|(_, shape)| shape.seen()) {
        let Some((near, far)) = shape.bounds().span(ray) else { continue };
        let limit = best.map_or(far, |(_, metres)| far.min(metres));
        if near < limit
            && let Some(metres) = along(shape.as_ref(), ray, near, limit, seconds)
        {
            best = Some((index, metres));
        }
    }
    let (index, metres) = best?;
    let place = ray.at(metres);
    let normal = normal(scene.shapes[index].as_ref(), place, seconds);
    Some(Hit { shape: index, metres, place, normal })
}

fn along(shape: &dyn Shape, ray: &Ray, near: f64, far: f64, seconds: f64) -> Option<f64> {
    let mut metres = near;
    for _ in 0..STEPS {
        let distance = shape.distance(ray.at(metres), seconds);
        if distance < NEAR * (0.3 + metres) {
            return Some(metres);
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
    let sum = corners
        .into_iter()
        .fold(v3(0.0, 0.0, 0.0), |sum, corner| sum + corner * shape.distance(p + corner * h, seconds));
    sum.unit()
}

/// 0..1: how much of a lamp a place sees. `wide` is the lamp's half width over its distance, `far` its distance.
///
/// The nearest miss on the way, against how wide the lamp is there, stands for the covered share of its face; the same
/// in the negative while the way is inside a body.
pub fn seen(scene: &Scene, from: Vec3, towards: Vec3, wide: f64, far: f64, seconds: f64) -> f64 {
    let ray = Ray { from, towards };
    let mut least = 1.0_f64;
    for shape in scene.shapes.iter().filter(|shape| shape.shades()) {
        let bounds = shape.bounds();
        let reach = (bounds.centre() - from).length() + bounds.half().length();
        let Some((near, end)) = bounds.grown((wide * reach.min(far)).min(1.0)).span(&ray) else { continue };
        least = least.min(missed(shape.as_ref(), &ray, near.max(0.004), end.min(far), wide, seconds));
        if least <= -1.0 {
            return 0.0;
        }
    }
    smooth(-1.0, 1.0, least)
}

fn missed(shape: &dyn Shape, ray: &Ray, near: f64, far: f64, wide: f64, seconds: f64) -> f64 {
    let (mut least, mut metres) = (1.0_f64, near);
    for _ in 0..48 {
        if metres >= far {
            break;
        }
        let distance = shape.distance(ray.at(metres), seconds);
        least = least.min(distance / (wide * metres));
        if least <= -1.0 {
            break;
        }
        metres += distance.abs().max(0.006 + 0.02 * metres);
    }
    least
}

/// 0..1: how open a place is to light from all around, by how near bodies are along its normal.
pub fn openness(scene: &Scene, from: Vec3, normal: Vec3, seconds: f64) -> f64 {
    let mut taken = 0.0;
    for (height, weight) in [(0.012, 0.35), (0.035, 0.3), (0.09, 0.25), (0.2, 0.2)] {
        let place = from + normal * height;
        let nearest = scene.shapes.iter().filter(|shape| shape.seen()).fold(height, |nearest, shape| {
            if shape.bounds().distance(place) < nearest { nearest.min(shape.distance(place, seconds)) } else { nearest }
        });
        taken += weight * (1.0 - nearest.max(0.0) / height);
    }
    (1.0 - taken).max(0.0)
}
