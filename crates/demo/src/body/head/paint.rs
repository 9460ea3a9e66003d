//! What is seen where on a head: skin with its redder places, lips, brows, hair, wool and cloth.

use super::face::{Face, folded, side};
use super::form::Egg;
use super::{Crew, Part, cap, ear, hair};
use crate::material::{
    EYE_WHITE, HAIR_BLACK, HAIR_BROWN, HAIR_GREY, HAIR_LIGHT, IRIS_BROWN, IRIS_GREY, KERCHIEF, KERCHIEF_FADED,
    LIPS_DEEP, LIPS_LIGHT, Material, PUPIL, SKIN_DEEP, SKIN_DEEP_FLUSH, SKIN_DEEP_SHADE, SKIN_LIGHT, SKIN_LIGHT_FLUSH,
    SKIN_LIGHT_SHADE, WOOL, WOOL_LIGHT,
};
use crate::space::Leg as _;
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

/// A line that meets the middle of the plain skin of the cheek of the side of +x: a place of it, and the way inwards.
const CHEEK_LINE: [Vec3; 2] = [v3(64.0, -36.0, 110.0), v3(-0.4, 0.0, -0.916_515)];

/// The middle of the plain skin of a cheek of a side, 1 or -1, on the surface.
pub fn plain_cheek(face: &Face, side: f64) -> Vec3 {
    let [mut p, inwards] = CHEEK_LINE;
    for _ in 0..60 {
        p = p + inwards * (0.8 * face.skin(v3(p.x * side, p.y, p.z)));
    }
    v3(p.x * side, p.y, p.z)
}

/// 0 on the plain skin of the cheeks, 1 well beside it.
fn beside_cheek(q: Vec3) -> f64 {
    let [from, inwards] = CHEEK_LINE;
    let away = q - from;
    smooth(17.0, 23.0, (away - inwards * away.dot(inwards)).length())
}

/// What is seen at a place of a head.
pub fn surface(who: Crew, face: &Face, part: Part, p: Vec3, normal: Vec3) -> Surface {
    match part {
        Part::Skin => skin(who, face, p, normal),
        Part::Eye => ball(who, face, p, normal),
        Part::Hair => locks(who, face, p, normal),
        Part::Cap => worn(who, p, normal),
    }
}

// Where skin is redder, and where it is darker.
const CHEEK: Egg = Egg::new(v3(46.0, -19.0, 68.0), v3(30.0, 18.0, 30.0));
const EAR: Egg = Egg::new(v3(ear::MIDDLE.x + 5.0, ear::MIDDLE.y, ear::MIDDLE.z), v3(28.0, 46.0, 36.0));
const INNER: Egg = Egg::new(v3(24.0, -9.0, 78.0), v3(18.0, 13.0, 22.0));
const LID: Egg = Egg::new(v3(31.0, 7.0, 78.0), v3(20.0, 8.0, 18.0));
// Where it is oily.
const FOREHEAD: Egg = Egg::new(v3(0.0, 45.0, 84.0), v3(60.0, 34.0, 40.0));
const CHEEKBONE: Egg = Egg::new(v3(52.0, -18.0, 62.0), v3(24.0, 14.0, 30.0));

/// Three unevennesses in -.5..0.5 as a vector: bends normals.
fn rough(seed: u64, p: Vec3) -> Vec3 {
    v3(uneven(seed, p) - 0.5, uneven(seed + 1, p) - 0.5, uneven(seed + 2, p) - 0.5)
}

fn skin(who: Crew, face: &Face, p: Vec3, normal: Vec3) -> Surface {
    let (q, own) = (folded(p), complexion(who));
    let nose = Egg::new(v3(0.0, face.features.tip[0], face.features.tip[1]), v3(20.0, 28.0, 26.0)).hill(p);
    let oily = 0.022 * nose + 0.014 * FOREHEAD.hill(p) + 0.010 * CHEEKBONE.hill(q);
    let plain = Surface { soft: 0.17, ..Surface::of(own.skin, normal).bent(rough(351, p * 0.5) * 0.09) };
    let red = face.mouth.red(p);
    if red > 0.0 {
        let creases = v3(0.3 * (uneven(354, v3(p.x * 0.6, p.y * 0.1, 0.0)) - 0.5), 0.0, 0.0);
        return Surface { soft: 0.12, ..plain.bent(creases).mixed(own.lips, 0.75 * red).glossy(0.05, 34.0) };
    }
    let plain = plain.glossy(0.029 + oily, 12.0 + 500.0 * oily);
    let lashes = face.eyes.lashes(q, side(p));
    if lashes > 0.02 {
        return plain.mixed(own.hair[0], 0.8 * lashes);
    }
    let brow = hair::brow(face, p);
    if brow > 0.0 {
        let (across, along) = (0.84 * q.y - 0.54 * q.x, 0.84 * q.x + 0.54 * q.y);
        let strand = uneven(355, v3(across * 0.9, along * 0.16, p.z * 0.1));
        return plain.mixed(own.hair[0], smooth(0.1, 0.8, brow * (0.55 + 0.75 * strand)) * 0.88);
    }
    // Shaved or thin hair shows through.
    let stubble = hair::thickness(who, face, p);
    if stubble > 0.0 {
        return plain.mixed(own.hair[0], (stubble / hair::STUBBLE).min(1.0) * (0.1 + 0.5 * hair::strands(p)));
    }
    let mottled = smooth(0.35, 0.8, grain(357, p * 0.045)) * 0.35;
    let flush = (1.1 * nose).max(0.9 * CHEEK.hill(q)).max(0.9 * EAR.hill(q)).max(mottled);
    let shade = (0.8 * INNER.hill(q)).max(0.7 * LID.hill(q));
    let beside = beside_cheek(q);
    if shade > flush {
        plain.mixed(own.shade, beside * (shade - flush))
    } else {
        plain.mixed(own.flush, beside * (flush - shade))
    }
}

fn ball(who: Crew, face: &Face, p: Vec3, normal: Vec3) -> Surface {
    let look = face.eyes.look(folded(p), side(p));
    let own = complexion(who);
    let plain = if look.pupil > 0.0 {
        Surface::of(own.iris, normal).mixed(PUPIL, look.pupil)
    } else if look.iris >= 1.0 {
        Surface::of(own.iris, normal).mixed(PUPIL, 0.7 * look.rim)
    } else if look.iris > 0.0 {
        Surface::of(EYE_WHITE, normal).mixed(own.iris, look.iris)
    } else {
        Surface::of(EYE_WHITE, normal).mixed(own.flush, 0.75 * look.corner)
    };
    Surface { open: 1.0 - 0.45 * look.shaded, fine: Some(0.001), ..plain.glossy(0.04, 170.0) }
}

fn locks(who: Crew, face: &Face, p: Vec3, normal: Vec3) -> Surface {
    let own = complexion(who);
    let strand = hair::strands(p);
    let thick = hair::thickness(who, face, p);
    let bend = rough(361, v3(p.x * 0.6, p.y * 0.1, p.z * 0.6)).times(v3(1.0, 0.2, 1.0));
    let open = 0.6 + 0.4 * smooth(0.2, 0.6, strand);
    let plain = Surface { soft: 0.1, open, ..Surface::of(own.hair[0], normal).bent(bend * 0.7) }.glossy(0.03, 14.0);
    let cover = smooth(0.4, 2.8, thick + 1.8 * (strand - 0.5));
    if cover < 1.0 {
        return Surface { paints: [own.skin, own.hair[0]], share: 0.35 + 0.65 * cover, ..plain };
    }
    plain.mixed(own.hair[1], 0.8 * smooth(0.35, 0.75, strand))
}

fn worn(who: Crew, p: Vec3, normal: Vec3) -> Surface {
    match who {
        Crew::Mate => wool(p, normal),
        Crew::Cook => {
            // Worn pale where folds stand out.
            let faded = 0.15 + 0.45 * cap::fold(p) + 0.2 * grain(373, p * 0.08);
            let cloth = Surface::of(KERCHIEF, normal).mixed(KERCHIEF_FADED, faded);
            Surface { soft: 0.08, ..cloth.bent(rough(371, p * 0.5) * 0.12) }
        }
    }
}

/// Ribs of a knitted cap that run up to its crown.
fn wool(p: Vec3, normal: Vec3) -> Surface {
    let (x, z) = (p.x - 1.0, p.z + 12.0);
    let radius = x.leg(z).max(1.0);
    let turn = x.atan2(z) + 0.02 * (uneven(381, p * 0.05) - 0.5);
    let ribs = turn * 74.0 / std::f64::consts::TAU;
    let across = (ribs - ribs.floor()) * 2.0 - 1.0;
    let strength = smooth(18.0, 45.0, radius);
    let sideways = v3(z / radius, 0.0, -x / radius);
    // A rib is round: its flanks turn away, the gaps beside it are dark.
    let flank = across * across * across;
    let up = cap::over_edge(Crew::Mate, p);
    let stitch = (up / 3.4 + 0.9 * across.abs()).fract() - 0.5;
    let by = sideways * (0.75 * flank * strength) + v3(0.0, 0.15 * stitch, 0.0) + rough(382, p * 0.6) * 0.2;
    let open = 1.0 - 0.55 * strength * smooth(0.5, 1.0, across.abs());
    let edge = 1.0 - 0.4 * (1.0 - smooth(0.0, 3.0, (up - cap::CUFF - 1.0).abs()));
    let worn = 0.25 * smooth(0.3, 0.8, grain(385, p * 0.12));
    Surface { soft: 0.12, open: open * edge, ..Surface::of(WOOL, normal).mixed(WOOL_LIGHT, worn).bent(by) }
}
