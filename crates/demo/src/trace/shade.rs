//! How much of each lamp a place sends towards the camera, and by which material.

use super::march::{Hit, Moment};
use super::plate::Part;
use super::scene::{Lamp, LampKind};
use super::shape::Surface;
use crate::space::{Ray, Vec3, smooth};

/// From this sharpness on bodies mirror what stands around them.
const MIRROR: f64 = 60.0;
/// From this sharpness on a lamp is mirrored as the body that it is, and blooms no more: window panes.
const PANE: f64 = 1000.0;
/// Parts below this weight are not kept, in light where mid grey is .18.
const FAINT: f64 = 1e-6;

/// What is seen along a ray.
pub struct Seen {
    /// Where it is, if it is a body.
    pub hit: Option<Hit>,
    /// Whether small things are there.
    pub fine: bool,
}

/// Traces a ray and adds what it sees, `weight` of it, to `parts`.
pub fn look(moment: &Moment, ray: &Ray, weight: f64, parts: &mut Vec<Part>) -> Seen {
    look_at(moment, ray, moment.meet(ray), weight, parts)
}

/// As [`look`], where it is known what the ray meets.
pub fn look_at(moment: &Moment, ray: &Ray, hit: Option<Hit>, weight: f64, parts: &mut Vec<Part>) -> Seen {
    for halo in &moment.halos {
        add(parts, Part::new(moment.scene.white, halo.source, weight * halo.along(ray.from, ray.towards)));
    }
    trace(moment, ray, hit, weight, 0, parts)
}

fn trace(moment: &Moment, ray: &Ray, hit: Option<Hit>, weight: f64, depth: u32, parts: &mut Vec<Part>) -> Seen {
    let (scene, seconds) = (moment.scene, moment.seconds);
    let Some(hit) = hit else {
        for glow in (scene.backdrop)(ray, seconds) {
            add(parts, Part::new(scene.white, glow.source, weight * glow.level));
        }
        return Seen { hit: None, fine: false };
    };
    let surface = scene.shapes[hit.shape].surface(hit.place, hit.normal, seconds);
    if let Some((source, level)) = surface.glow {
        add(parts, Part::new(scene.white, source, weight * level));
    }
    let from = hit.place + hit.normal * 0.0015;
    let open = if surface.even { 1.0 } else { surface.open * moment.openness(from, hit.normal) };
    let towards_eye = -ray.towards;
    for lamp in &scene.lamps {
        let light = fall(moment, lamp, from, &surface, hit.normal, open);
        let matt = if surface.metal { 0.0 } else { weight * light.matt };
        for (paint, share) in [(surface.paints[0], 1.0 - surface.share), (surface.paints[1], surface.share)] {
            add(parts, Part::new(paint, lamp.source, matt * share));
        }
        if surface.gloss > 0.0 && surface.sharpness < PANE && !surface.even {
            let bright = weight * surface.gloss * light.unshaded * shine(&surface, &light.towards, towards_eye);
            let mirror = if surface.metal { surface.paints[0] } else { scene.white };
            add(parts, Part::new(mirror, lamp.source, bright));
        }
    }
    if depth == 0 && surface.gloss > 0.0 && surface.sharpness >= MIRROR {
        let towards = ray.towards.mirrored(surface.normal);
        let share = weight * mirrored(&surface, towards_eye) * open;
        let start = parts.len();
        let ray = Ray { from, towards };
        trace(moment, &ray, moment.meet(&ray), share, 1, parts);
        if surface.metal {
            // What a metal mirrors takes the metal's colour; that of the thing mirrored is left out beside it.
            for part in &mut parts[start..] {
                part.material = surface.paints[0].index() as u8;
            }
        }
    }
    Seen { hit: Some(hit), fine: surface.fine }
}

/// What a lamp brings to a place.
struct Fall {
    /// What a matt perfect diffuser sends back.
    matt: f64,
    /// The lamp's light there, however the surface is turned.
    unshaded: f64,
    /// The direction to the lamp; none for a dome.
    towards: Option<Vec3>,
}

fn fall(moment: &Moment, lamp: &Lamp, from: Vec3, surface: &Surface, flat: Vec3, open: f64) -> Fall {
    let (towards, wide, far, level) = match lamp.kind {
        LampKind::Dome { towards } => {
            let matt = lamp.level * open * (0.5 + 0.5 * surface.normal.dot(towards));
            return Fall { matt, unshaded: lamp.level * open, towards: None };
        }
        LampKind::Far { towards, wide } => (towards, wide, f64::INFINITY, lamp.level),
        LampKind::Near { place, wide } => {
            let way = place - from;
            let metres = way.length();
            (way.unit(), wide / metres, metres - wide, lamp.level / (metres * metres))
        }
    };
    let turned = |cosine: f64| ((cosine + surface.soft) / (1.0 + surface.soft)).max(0.0);
    let cosine = turned(surface.normal.dot(towards));
    // The side away from the lamp is dark however its normal is bent.
    let side = smooth(-0.02, 0.06, flat.dot(towards) + surface.soft);
    if cosine * side <= 0.0 {
        return Fall { matt: 0.0, unshaded: 0.0, towards: Some(towards) };
    }
    let visible = side * moment.seen(from, towards, wide, far);
    Fall { matt: level * cosine * visible, unshaded: level * visible, towards: Some(towards) }
}

/// How strongly a lamp is mirrored towards the eye, beside what a surface that mirrors all of it would: a lobe about the
/// half-way direction that holds as much light however sharp it is.
fn shine(surface: &Surface, towards: &Option<Vec3>, eye: Vec3) -> f64 {
    let Some(towards) = towards else { return 0.25 };
    let half = (*towards + eye).unit();
    let cosine = surface.normal.dot(half).max(0.0);
    (surface.sharpness + 8.0) / 8.0 * cosine.powf(surface.sharpness) * surface.normal.dot(*towards).max(0.0)
}

/// Share of the light that is mirrored, by Schlick's formula (1994): more where the surface is seen at a flat angle.
fn mirrored(surface: &Surface, eye: Vec3) -> f64 {
    surface.gloss + (1.0 - surface.gloss) * (1.0 - surface.normal.dot(eye).clamp(0.0, 1.0)).powi(5)
}

fn add(parts: &mut Vec<Part>, part: Part) {
    if part.weight > FAINT as f32 {
        parts.push(part);
    }
}
