//! Hair on a face: the mate's short beard, the cook's moustache and cropped head, as a layer over the skin that is
//! uneven in tufts along its growth. In millimetres.

use super::Crew;
use super::face::{folded, hill};
use super::features::Features;
use super::mouth;
use crate::space::{Vec3, smooth, uneven, v3};

/// Hair is nowhere thicker than this.
const THICKEST: f64 = 12.0;

/// Distance to the hair over a skin that is `skin` away.
pub fn hair(who: Crew, f: &Features, p: Vec3, skin: f64) -> f64 {
    if skin > THICKEST + 4.0 {
        return skin - THICKEST;
    }
    let thick = thickness(who, f, p);
    if thick <= 0.0 {
        return skin + 0.5;
    }
    let over = skin - thick;
    if over > 4.0 {
        return over - 2.5;
    }
    // Tufts, the higher the thicker the hair.
    let rough = (thick * 0.32).min(2.3);
    let tuft = tufts(p);
    over - rough * (tuft - 0.5)
}

/// Thickness of the hair at a place of the skin; 0 where none grows.
pub fn thickness(who: Crew, f: &Features, p: Vec3) -> f64 {
    match who {
        Crew::Mate => beard(f, p),
        Crew::Cook => moustache(f, p, 6.0).max(cropped(p)),
    }
}

fn moustache(f: &Features, p: Vec3, thick: f64) -> f64 {
    let x = p.x.abs();
    if p.z < 55.0 || x > 38.0 {
        return 0.0;
    }
    // It hangs towards the corners of the mouth and is parted under the nose.
    let height = (p.y + 59.5 + 0.011 * x * x) / 8.0;
    let rest = 1.0 - height * height;
    if rest <= 0.0 {
        return 0.0;
    }
    thick * rest.sqrt() * (1.0 - smooth(26.0, 36.0, x)) * (0.55 + 0.45 * smooth(0.0, 6.0, x)) * clear(f, p)
}

/// 0 on the lips, 1 beside them.
fn clear(f: &Features, p: Vec3) -> f64 {
    if (p - v3(0.0, -72.0, 92.0)).length() > 36.0 { 1.0 } else { smooth(0.4, 3.5, mouth::away(f, p)) }
}

/// The mate's beard: over jaw and chin to the ears, with a moustache.
fn beard(f: &Features, p: Vec3) -> f64 {
    let q = folded(p);
    if q.y > 24.0 || q.z < -18.0 {
        return 0.0;
    }
    let line = (-67.0 + (75.0 - q.z) * 0.87).max(-20.0 + (22.0 - q.z) * 3.0);
    let cheek = smooth(-5.0, 8.0, line - q.y);
    let back = smooth(-16.0, -7.0, q.z + 0.2 * (q.y + 60.0).min(0.0));
    let low = smooth(-140.0, -120.0, q.y);
    let full = 2.6 + 3.6 * smooth(-10.0, -70.0, q.y) + 3.2 * hill(q, v3(0.0, -112.0, 84.0), v3(30.0, 26.0, 40.0));
    let jaw = full * cheek * back * low * clear(f, p);
    jaw.max(moustache(f, p, 5.2))
}

/// The cook's hair under the kerchief: cropped short, with sideburns.
fn cropped(p: Vec3) -> f64 {
    let q = folded(p);
    if q.z > 44.0 || q.y < -72.0 {
        return 0.0;
    }
    // Before the ear it ends at its lower half, behind it at the nape.
    let foot = if q.z > -14.0 { -22.0 } else { -58.0 };
    let temple = 30.0 - 0.55 * (q.y - 10.0).abs().min(30.0);
    1.7 * smooth(0.0, 8.0, q.y - foot) * smooth(0.0, 6.0, temple - q.z)
}

/// 0..1: how high the tufts are at a place.
fn tufts(p: Vec3) -> f64 {
    // Bent a little, so that they do not run straight down.
    let bent = v3(p.x + 0.16 * p.y, p.y, p.z + 0.2 * p.y);
    0.62 * uneven(311, v3(bent.x / 3.6, bent.y / 12.0, bent.z / 3.6)) + 0.38 * uneven(312, v3(bent.x / 1.5, bent.y / 7.0, bent.z / 1.5))
}

/// 0..1: light and dark of single strands at a place.
pub fn strands(p: Vec3) -> f64 {
    let bent = v3(p.x + 0.16 * p.y, p.y, p.z + 0.2 * p.y);
    0.5 * tufts(p) + 0.5 * uneven(313, v3(bent.x / 0.8, bent.y / 6.0, bent.z / 0.8))
}

/// 0..1: how dense a brow is at a place of the skin.
pub fn brow(f: &Features, q: Vec3, side: usize) -> f64 {
    if q.z < 40.0 || q.x < 9.0 || q.x > 58.0 {
        return 0.0;
    }
    let along = (q.x - 12.0) / 42.0;
    let height = f.brows[side] + 5.0 * along - 9.0 * along * along;
    let half = 4.6 - 2.2 * along.clamp(0.0, 1.0);
    let away = (q.y - height) / half;
    let ends = smooth(-0.07, 0.1, along) * (1.0 - smooth(0.75, 1.0, along));
    ends * (1.0 - away * away).max(0.0).sqrt()
}
