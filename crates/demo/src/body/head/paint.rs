//! What is seen where on a head: skin with its redder places, lips, brows, hair, wool and cloth.

use super::features::Features;
use super::{Crew, Part, cap, eye, face, hair, mouth};
use crate::material::{
    EYE_WHITE, HAIR_BLACK, HAIR_BROWN, HAIR_GREY, HAIR_LIGHT, IRIS_BROWN, IRIS_GREY, KERCHIEF, KERCHIEF_FADED,
    LIPS_DEEP, LIPS_LIGHT, Material, PUPIL, SKIN_DEEP, SKIN_DEEP_FLUSH, SKIN_DEEP_SHADE, SKIN_LIGHT, SKIN_LIGHT_FLUSH,
    SKIN_LIGHT_SHADE, WOOL, WOOL_LIGHT,
};
use crate::space::{Vec3, grain, smooth, uneven, v3};
use crate::trace::Surface;

/// The materials of a person.
struct Complexion {
    skin: Material,
    flush: Material,
    shade: Material,
    lips: Material,
    hair: [Material; 2],
    iris: Material,
}

fn complexion(who: Crew) -> Complexion {
    match who {
        Crew::Mate => Complexion {
            skin: SKIN_LIGHT,
            flush: SKIN_LIGHT_FLUSH,
            shade: SKIN_LIGHT_SHADE,
            lips: LIPS_LIGHT,
            hair: [HAIR_BROWN, HAIR_LIGHT],
            iris: IRIS_GREY,
        },
        Crew::Cook => Complexion {
            skin: SKIN_DEEP,
            flush: SKIN_DEEP_FLUSH,
            shade: SKIN_DEEP_SHADE,
            lips: LIPS_DEEP,
            hair: [HAIR_BLACK, HAIR_GREY],
            iris: IRIS_BROWN,
        },
    }
}

/// The middle of the plain skin of a cheek of a side, 1 or -1, on the surface.
pub fn plain_cheek(f: &Features, side: f64) -> Vec3 {
    let mut p = v3(62.0 * side, -36.0, 110.0);
    let inwards = v3(-0.4 * side, 0.0, -0.9165);
    for _ in 0..60 {
        p = p + inwards * (0.8 * face::skin(f, p));
    }
    p
}

/// 0 on the plain skin of the cheeks, 1 well beside it.
fn beside_cheek(q: Vec3) -> f64 {
    let away = (q - v3(43.0, -36.0, 67.0)).length();
    smooth(13.0, 19.0, away)
}

/// What is seen at a place of a head.
pub fn surface(who: Crew, f: &Features, part: Part, p: Vec3, normal: Vec3) -> Surface {
    match part {
        Part::Skin => skin(who, f, p, normal),
        Part::Eye => ball(who, f, p, normal),
        Part::Hair => locks(who, f, p, normal),
        Part::Cap => worn(who, p, normal),
    }
}

fn skin(who: Crew, f: &Features, p: Vec3, normal: Vec3) -> Surface {
    let (q, side, own) = (face::folded(p), face::side(p), complexion(who));
    let beside = beside_cheek(q);
    let pores = v3(uneven(351, p * 0.9) - 0.5, uneven(352, p * 0.9) - 0.5, uneven(353, p * 0.9) - 0.5);
    let oily = 0.016 * face::hill(p, v3(0.0, f.tip[0], f.tip[1]), v3(18.0, 30.0, 26.0))
        + 0.010 * face::hill(p, v3(0.0, 45.0, 84.0), v3(60.0, 34.0, 40.0))
        + 0.006 * face::hill(q, v3(52.0, -18.0, 62.0), v3(24.0, 14.0, 30.0));
    let plain = Surface { soft: 0.17, ..Surface::of(own.skin, normal).bent(pores * 0.11) };
    let red = mouth::red(f, p);
    if red > 0.0 {
        let moist = plain.bent(v3(0.35 * (uneven(354, v3(p.x * 0.7, p.y * 0.1, 0.0)) - 0.5), 0.0, 0.0));
        return Surface { soft: 0.12, ..moist.mixed(own.lips, 0.85 * red).glossy(0.035, 28.0) };
    }
    let plain = plain.glossy(0.026 + oily, 13.0 + 300.0 * oily);
    let lashes = eye::lashes(f, q, side);
    if lashes > 0.02 {
        return plain.mixed(own.hair[0], 0.8 * lashes);
    }
    let brow = hair::brow(f, q, side);
    if brow > 0.0 {
        let strand = uneven(355, v3(p.x * 0.35 + p.y * 0.5, p.y * 0.9 - q.x * 0.5, 0.0));
        return plain.mixed(own.hair[0], smooth(0.1, 0.75, brow * (0.45 + 0.85 * strand)) * 0.88);
    }
    // Shaved or thin hair shows through.
    let stubble = hair::thickness(who, f, p);
    if stubble > 0.0 {
        return plain.mixed(own.hair[0], (stubble / 2.5).min(1.0) * (0.35 + 0.55 * hair::strands(p)));
    }
    let mottled = smooth(0.35, 0.8, grain(357, p * 0.045)) * 0.35;
    let flush = (1.1 * face::hill(p, v3(0.0, f.tip[0], f.tip[1] - 6.0), v3(26.0, 26.0, 30.0)))
        .max(0.9 * face::hill(q, v3(44.0, -20.0, 70.0), v3(30.0, 18.0, 30.0)))
        .max(0.9 * face::hill(q, v3(78.0, -8.0, -10.0), v3(26.0, 44.0, 34.0)))
        .max(mottled);
    let shade = (0.8 * face::hill(q, v3(26.0, -8.0, 78.0), v3(20.0, 14.0, 22.0)))
        .max(0.7 * face::hill(q, v3(31.0, 8.0, 78.0), v3(20.0, 8.0, 18.0)));
    if shade > flush {
        plain.mixed(own.shade, beside * (shade - flush))
    } else {
        plain.mixed(own.flush, beside * (flush - shade))
    }
}

fn ball(who: Crew, f: &Features, p: Vec3, normal: Vec3) -> Surface {
    let look = eye::look(f, face::folded(p), face::side(p));
    let own = complexion(who);
    let plain = if look.pupil > 0.0 {
        Surface::of(own.iris, normal).mixed(PUPIL, look.pupil)
    } else if look.iris > 0.0 {
        // Darker towards its edge.
        Surface::of(EYE_WHITE, normal).mixed(own.iris, look.iris)
    } else {
        Surface::of(EYE_WHITE, normal).mixed(own.flush, 0.75 * look.corner)
    };
    Surface { open: 1.0 - 0.45 * look.shaded, fine: true, ..plain.glossy(0.04, 240.0) }
}

fn locks(who: Crew, f: &Features, p: Vec3, normal: Vec3) -> Surface {
    let own = complexion(who);
    let strand = hair::strands(p);
    let thick = hair::thickness(who, f, p);
    let bend = v3(uneven(361, v3(p.x * 0.9, p.y * 0.12, p.z * 0.9)) - 0.5, 0.0, uneven(362, v3(p.x * 0.9, p.y * 0.12, p.z * 0.9)) - 0.5);
    let plain = Surface { soft: 0.1, open: 0.55 + 0.45 * smooth(0.2, 0.6, strand), ..Surface::of(own.hair[0], normal).bent(bend * 0.9) };
    let plain = plain.glossy(0.03, 14.0);
    let cover = smooth(0.3, 2.6, thick + 1.6 * (strand - 0.5));
    if cover < 1.0 {
        return Surface { paints: [own.skin, own.hair[0]], share: 0.25 + 0.75 * cover, ..plain };
    }
    plain.mixed(own.hair[1], smooth(0.42, 0.72, strand))
}

fn worn(who: Crew, p: Vec3, normal: Vec3) -> Surface {
    match who {
        Crew::Mate => wool(p, normal),
        Crew::Cook => {
            let weave = v3(uneven(371, p * 1.1) - 0.5, uneven(372, p * 1.1) - 0.5, 0.0);
            let faded = smooth(0.35, 0.75, grain(373, p * 0.03));
            Surface { soft: 0.08, ..Surface::of(KERCHIEF, normal).mixed(KERCHIEF_FADED, faded).bent(weave * 0.16) }
        }
    }
}

/// Ribs of a knitted cap that run up to its crown.
fn wool(p: Vec3, normal: Vec3) -> Surface {
    let (x, z) = (p.x - 1.0, p.z + 12.0);
    let radius = x.hypot(z).max(1.0);
    let turn = x.atan2(z) + 0.02 * (uneven(381, p * 0.05) - 0.5);
    let ribs = turn * 74.0 / std::f64::consts::TAU;
    let across = (ribs - ribs.floor()) * 2.0 - 1.0;
    let strength = smooth(18.0, 45.0, radius);
    let sideways = v3(z / radius, 0.0, -x / radius);
    // A rib is round: its flanks turn away, the gaps beside it are dark.
    let flank = across * across * across;
    let up = cap::over_edge(Crew::Mate, p);
    let stitch = (up / 3.4 + 0.9 * across.abs()).fract() - 0.5;
    let fuzz = v3(uneven(382, p * 1.3) - 0.5, uneven(383, p * 1.3) - 0.5, uneven(384, p * 1.3) - 0.5);
    let bent = normal_by(normal, sideways * (0.75 * flank * strength) + v3(0.0, 0.22 * stitch, 0.0) + fuzz * 0.25);
    let open = 1.0 - 0.55 * strength * smooth(0.5, 1.0, across.abs());
    let edge = 1.0 - 0.4 * (1.0 - smooth(0.0, 3.0, (up - cap::CUFF - 1.0).abs()));
    Surface { soft: 0.12, open: open * edge, ..Surface::of(WOOL, bent).mixed(WOOL_LIGHT, 0.45 * smooth(0.3, 0.8, grain(385, p * 0.25))) }
}

fn normal_by(normal: Vec3, by: Vec3) -> Vec3 {
    (normal + by).unit()
}
