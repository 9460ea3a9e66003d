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
    /// How wide the smallest things there are in metres, if there are any.
    pub fine: Option<f64>,
}

/// What the rays of one pixel know of the light on the places that they meet.
///
/// Where an edge runs through a pixel its rays differ in what they meet and hardly in how the lamps are hidden there,
/// which costs most of a ray.
#[derive(Default)]
pub struct Known(Vec<Place>);

/// How the lamps and all around are hidden at a place, and what it mirrors.
struct Place {
    shape: usize,
    at: Vec3,
    normal: Vec3,
    /// 0..1, by the lamps' numbers; none where it was not asked yet.
    seen: Vec<Option<f64>>,
    openness: Option<f64>,
    /// The normal of what mirrors, bent as its surface is, and what a perfect mirror shows there.
    mirror: Option<(Vec3, Vec<Part>)>,
}

/// How far apart places may lie that are hidden alike, over their distance from the eye; a pixel is .0004 to .002 of it.
const NEAR: f64 = 0.005;
/// The least cosine between their normals, and where small things are on a body, which are alike only where they are flat.
const ALIKE: f64 = 0.9;
const FLAT: f64 = 0.999;

impl Known {
    /// What is known of a place, or what is to be.
    fn of(&mut self, hit: &Hit, fine: bool, lamps: usize) -> &mut Place {
        let turned = if fine { FLAT } else { ALIKE };
        let alike = |place: &Place| {
            let far = place.at - hit.place;
            place.shape == hit.shape && place.normal.dot(hit.normal) > turned && far.length() < NEAR * hit.metres
        };
        let at = self.0.iter().position(alike).unwrap_or_else(|| {
            let seen = vec![None; lamps];
            self.0.push(Place {
                shape: hit.shape,
                at: hit.place,
                normal: hit.normal,
                seen,
                openness: None,
                mirror: None,
            });
            self.0.len() - 1
        });
        &mut self.0[at]
    }
}

/// Traces a ray and adds what it sees, `weight` of it, to `parts`.
pub fn look(moment: &Moment, ray: &Ray, weight: f64, known: &mut Known, parts: &mut Vec<Part>) {
    look_at(moment, ray, moment.meet(ray), weight, known, parts);
}

/// As [`look`], where it is known what the ray meets.
pub fn look_at(
    moment: &Moment,
    ray: &Ray,
    hit: Option<Hit>,
    weight: f64,
    known: &mut Known,
    parts: &mut Vec<Part>,
) -> Seen {
    for halo in &moment.halos {
        add(parts, Part::new(moment.scene.white, halo.source, weight * halo.along(ray.from, ray.towards)));
    }
    let fine = trace(&Sight { moment, ray, weight, mirrored: false }, hit, known, parts);
    Seen { hit, fine }
}

/// A ray on its way.
struct Sight<'a> {
    moment: &'a Moment<'a>,
    ray: &'a Ray,
    weight: f64,
    /// Whether it comes from a mirror; no mirror is seen in another.
    mirrored: bool,
}

/// Adds what is seen where a ray ends; how wide the smallest things there are.
fn trace(sight: &Sight<'_>, hit: Option<Hit>, known: &mut Known, parts: &mut Vec<Part>) -> Option<f64> {
    let Sight { moment, ray, weight, mirrored } = *sight;
    let (scene, seconds) = (moment.scene, moment.seconds);
    let Some(hit) = hit else {
        for glow in (scene.backdrop)(ray, seconds) {
            add(parts, Part::new(scene.white, glow.source, weight * glow.level));
        }
        return None;
    };
    let surface = scene.shapes[hit.shape].surface(hit.place, hit.normal, seconds);
    if let Some((source, level)) = surface.glow {
        add(parts, Part::new(scene.white, source, weight * level));
    }
    let from = hit.place + hit.normal * 0.0015;
    let place = known.of(&hit, surface.fine.is_some(), scene.lamps.len());
    let open = if surface.even {
        1.0
    } else {
        surface.open * *place.openness.get_or_insert_with(|| moment.openness(from, hit.normal))
    };
    let towards_eye = -ray.towards;
    for (lamp, seen) in scene.lamps.iter().zip(&mut place.seen) {
        let light = fall(moment, lamp, from, &surface, hit.normal, open, seen);
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
    if !mirrored && surface.gloss > 0.0 && surface.sharpness >= MIRROR {
        let share = weight * mirrors(&surface, towards_eye) * open;
        let same = place.mirror.as_ref().is_some_and(|(normal, _)| normal.dot(surface.normal) > FLAT);
        if !same {
            let ray = Ray { from, towards: ray.towards.mirrored(surface.normal) };
            let mut shown = Vec::new();
            let sight = Sight { moment, ray: &ray, weight: 1.0, mirrored: true };
            trace(&sight, moment.meet(&ray), &mut Known::default(), &mut shown);
            place.mirror = Some((surface.normal, shown));
        }
        for part in place.mirror.iter().flat_map(|(_, shown)| shown) {
            // What a metal mirrors takes the metal's colour; that of the thing mirrored is left out beside it.
            let material = if surface.metal { surface.paints[0].index() as u8 } else { part.material };
            add(parts, Part { material, weight: share as f32 * part.weight, ..*part });
        }
    }
    surface.fine
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

fn fall(
    moment: &Moment,
    lamp: &Lamp,
    from: Vec3,
    surface: &Surface,
    flat: Vec3,
    open: f64,
    seen: &mut Option<f64>,
) -> Fall {
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
    let visible = side * *seen.get_or_insert_with(|| moment.seen(from, towards, wide, far));
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
fn mirrors(surface: &Surface, eye: Vec3) -> f64 {
    surface.gloss + (1.0 - surface.gloss) * (1.0 - surface.normal.dot(eye).clamp(0.0, 1.0)).powi(5)
}

fn add(parts: &mut Vec<Part>, part: Part) {
    if part.weight > FAINT as f32 {
        parts.push(part);
    }
}
