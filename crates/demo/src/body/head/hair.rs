//! Hair on a face: the mate's short beard, the cook's moustache and cropped head, as a layer over the skin that is
//! uneven in tufts along its growth. In millimetres.

use super::Crew;
use super::face::{Face, folded, side};
use super::form::{Egg, Limb};
use crate::space::{Vec3, smooth, uneven, v3};

/// Hair is nowhere thicker than this.
const THICKEST: f64 = 12.0;

/// Hair no thicker than this is only a shade of the skin.
pub const STUBBLE: f64 = 0.5;
/// Where a beard is longest.
const CHIN: Egg = Egg::new(v3(0.0, -112.0, 84.0), v3(30.0, 26.0, 40.0));

/// Where it goes round the mouth.
const ROUND_MOUTH: Limb = Limb::new(v3(30.0, -54.0, 88.0), v3(35.0, -96.0, 74.0), 14.0, 14.0);

/// Distance to the hair over a skin that is `skin` away.
pub fn hair(who: Crew, face: &Face, p: Vec3, skin: f64) -> f64 {
    // A bound that is too low would darken what a wide lamp lights, so only far away it is the simplest.
    if skin > 45.0 {
        return skin - THICKEST;
    }
    let thick = thickness(who, face, p);
    if thick <= STUBBLE {
        return skin + 0.5;
    }
    let over = skin - (thick - STUBBLE);
    if over > 4.0 {
        return over - 1.2;
    }
    // Tufts, the higher the thicker the hair.
    let rough = (thick * 0.32).min(2.3);
    over - rough * (tufts(p) - 0.5)
}

/// Thickness of the hair at a place of the skin; 0 where none grows.
pub fn thickness(who: Crew, face: &Face, p: Vec3) -> f64 {
    match who {
        Crew::Mate => beard(face, p).max(moustache(face, p, 5.2, 0.008)).max(cropped(p)),
        Crew::Cook => moustache(face, p, 5.6, 0.006).max(cropped(p)).max(STUBBLE.min(0.05 * beard(face, p))),
    }
}

fn moustache(face: &Face, p: Vec3, thick: f64, hanging: f64) -> f64 {
    let x = p.x.abs();
    if p.z < 55.0 || x > 38.0 {
        return 0.0;
    }
    // It hangs towards the corners of the mouth and is parted under the nose.
    let height = (p.y + 59.5 + hanging * x * x) / 8.0;
    let rest = 1.0 - height * height;
    if rest <= 0.0 {
        return 0.0;
    }
    thick
        * rest
        * (1.7 - 0.7 * rest)
        * (1.0 - smooth(22.0, 37.0, x))
        * (0.55 + 0.45 * smooth(0.0, 6.0, x))
        * clear(face, p)
}

/// 0 on the lips, 1 beside them.
fn clear(face: &Face, p: Vec3) -> f64 {
    smooth(0.4, 3.5, face.mouth.away(p))
}

/// The mate's beard: over jaw and chin to the ears, with a moustache.
fn beard(face: &Face, p: Vec3) -> f64 {
    let q = folded(p);
    if q.y > 24.0 || q.z < -18.0 {
        return 0.0;
    }
    let line = (-67.0 + (75.0 - q.z) * 0.87).max(-20.0 + (22.0 - q.z) * 3.0);
    let cheek = smooth(-7.0, 10.0, line - q.y);
    // It leaves the ear free.
    let edge = 5.0 - 20.0 * smooth(-36.0, -56.0, q.y) + 0.9 * (-78.0 - q.y).max(0.0);
    let back = smooth(edge, edge + 8.0, q.z);
    let low = smooth(-140.0, -120.0, q.y);
    let full = 2.6 + 3.6 * smooth(-10.0, -70.0, q.y) + 3.2 * CHIN.hill(q);
    // Round the corners of the mouth it meets the moustache.
    let round = 4.5 * ROUND_MOUTH.hill(q);
    (full * cheek * back * low).max(round) * clear(face, p)
}

/// Hair that shows under what is worn: cropped short, with sideburns.
fn cropped(p: Vec3) -> f64 {
    let q = folded(p);
    if q.z > 46.0 || q.y < -76.0 || q.z > -24.0 && q.z < 6.0 {
        return 0.0;
    }
    // Before the ear it ends at the height of its middle, behind it at the nape.
    if q.z > 0.0 {
        let temple = 26.0 - 0.018 * (q.y - 6.0) * (q.y - 6.0);
        return 1.5 * smooth(-34.0, -8.0, q.y) * smooth(-3.0, 9.0, temple - q.z);
    }
    1.9 * smooth(-74.0, -50.0, q.y - 0.1 * q.x) * smooth(-24.0, -34.0, q.z)
}

/// Places along the growth of the hair: bent a little, so that it does not run straight down.
fn grown(p: Vec3) -> Vec3 {
    v3(p.x + 0.16 * p.y, p.y, p.z + 0.2 * p.y)
}

/// 0..1: how high the tufts are at a place.
fn tufts(p: Vec3) -> f64 {
    let g = grown(p);
    0.65 * uneven(311, v3(g.x * 0.28, g.y * 0.08, g.z * 0.28))
        + 0.35 * uneven(312, v3(g.x * 0.5, g.y * 0.12, g.z * 0.5))
}

/// 0..1: light and dark of single strands at a place.
pub fn strands(p: Vec3) -> f64 {
    let g = grown(p);
    0.4 * tufts(p) + 0.6 * uneven(313, v3(g.x * 0.75, g.y * 0.14, g.z * 0.75))
}

/// 0..1: how dense a brow is at a place of the skin.
pub fn brow(face: &Face, p: Vec3) -> f64 {
    let q = folded(p);
    if q.z < 40.0 || q.x < 9.0 || q.x > 58.0 {
        return 0.0;
    }
    let along = (q.x - 12.0) / 42.0;
    let height = face.features.brows[side(p)] - 1.6 + 9.0 * along - 9.5 * along * along;
    let half = 4.6 - 2.2 * along.clamp(0.0, 1.0);
    let away = (q.y - height) / half;
    let ends = smooth(-0.07, 0.1, along) * (1.0 - smooth(0.75, 1.0, along));
    ends * (1.0 - away * away).max(0.0).sqrt()
}
