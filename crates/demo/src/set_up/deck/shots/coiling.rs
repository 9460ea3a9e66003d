//! The mate, closer, carries a coil of rope; the cook looks on from the galley door.

use super::super::house::SIDE;
use super::super::sky::Sky;
use super::super::stores::Crate;
use super::super::tail::Tail;
use super::super::wall_lamp::WallLamp;
use super::super::{LOCKER, Lighting, ship, sources, steady};
use super::{front, usual};
use crate::body::{Card, Chart, Crew, Garment, Grip, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap, Vest};
use crate::material::WHITE;
use crate::set_up::MarkKind::{Foliage, Surface};
use crate::set_up::{Stage, marks};
use crate::space::{Place, Vec3, View, v3};
use crate::trace::{Scene, Shape, Still};

/// The mate with the rope, seen from the rail towards the deckhouse.
pub fn coiling() -> Stage {
    let eye = v3(0.85, 1.52, 1.75);
    let lamp = WallLamp { root: v3(SIDE, 1.98, -2.05), halo: [0.40, 0.022] };
    let lighting = Lighting { key: v3(0.74, 0.54, 0.46), sky: [1.32, 0.42], lamp: 1.25 };

    let mate_at = Place::at(v3(0.34, 1.43, -0.55)).facing(0.42);
    let cook_at = Place::at(v3(-0.70, 1.38, -2.15)).facing(0.62);
    let mate = Head::new(Crew::Mate, mate_at, Pose { nod: 0.16, lean: 0.04, turns: 0.0 });
    let cook = Head::new(Crew::Cook, cook_at, Pose { nod: 0.02, lean: 0.0, turns: 0.0 });
    let rope_at = Place::at(v3(0.44, 1.335, -0.24)).facing(0.3);
    let rope = Rope::carried(rope_at);
    let along = |q: Vec3| rope_at.outward(q) - rope_at.at;
    // One hand over the top of the coil, the other at its side.
    let over =
        Grip::Round { at: rope_at.outward(v3(0.02, 0.0, 0.004)), along: along(v3(-1.0, -0.1, 0.0)), radius: 0.036 };
    let beside =
        Grip::Round { at: rope_at.outward(v3(-0.106, -0.16, 0.004)), along: along(v3(-0.15, 1.0, 0.0)), radius: 0.038 };
    let oilskin = Torso::new(mate_at, Garment::Oilskin).with_hand(1.0, over).with_hand(-1.0, beside);
    let jacket = Torso::new(cook_at, Garment::Jacket);

    let far = Crate { place: Place::at(v3(-1.20, 0.0, -1.70)).facing(0.2), size: v3(0.28, 0.98, 0.24), seed: 375 };
    let stand = Crate { place: Place::at(v3(0.77, 0.0, -1.70)).facing(-0.05), size: v3(0.36, 1.02, 0.24), seed: 373 };
    let turned = 0.10;
    let chart = Chart::standing(Place::at(stand.lid(0.12, 0.06)).facing(turned));
    let card = Card::standing(Place::at(stand.lid(-0.145, 0.11)).facing(turned));
    let trap = Trap::standing(Place::at(far.lid(0.20, -0.06)).looking_to(eye));
    let mug = Mug::standing(Place::at(far.lid(0.13, 0.17)).facing(1.2));
    let herbs = Herbs::standing(Place::at(far.lid(-0.09, 0.0)).facing(0.35));
    let tail = Tail { from: rope_at.outward(v3(0.075, -0.225, 0.036)), long: 0.22, swing: 0.07 };
    let vest = Vest::hanging(Place::at(v3(-1.16, 1.66, LOCKER + 0.08)));
    let pan_at = Place::at(v3(SIDE + 0.06, 1.40, -1.90)).facing(1.35);
    let pan = Pan::hanging(pan_at);

    let mut named = usual(&card, &chart, (&mate, 1.0), (&cook, 1.0));
    named.extend([
        marks::square("oilskin", front(&oilskin, mate_at, 0.12, -0.11), 0.012, Surface),
        marks::square("herbs", herbs.leaves(), 0.012, Foliage),
        marks::square("enamel mug", mug.front(), 0.012, Surface),
        marks::square("life vest", vest.orange(), 0.02, Surface),
        marks::square("rope", rope.tan(), 0.006, Surface),
        marks::square("copper pan", front(&pan, pan_at, 0.05, -0.06), 0.010, Surface),
        marks::square("light trap", trap.mouth(), Trap::MOUTH_HALF, Surface),
        marks::square("wood", stand.lid(0.0, 0.2), 0.012, Surface),
    ]);
    let mut shapes = ship(lamp);
    shapes.extend::<Vec<Box<dyn Shape>>>(vec![
        Box::new(stand),
        Box::new(far),
        Box::new(chart),
        Box::new(card),
        Box::new(trap),
        Box::new(mug),
        Box::new(herbs),
        Box::new(pan),
        Box::new(rope),
        Box::new(tail),
        Box::new(vest),
        Box::new(oilskin),
        Box::new(mate),
        Box::new(jacket),
        Box::new(cook),
    ]);
    let sky = Sky { glow: v3(0.45, 0.0, -0.9).unit(), shore: v3(0.10, 0.0, -1.0).unit(), band: 0.7 };
    Stage {
        scene: Scene {
            shapes,
            lamps: lighting.lamps(&lamp),
            backdrop: Box::new(move |ray, _| sky.look(ray)),
            white: WHITE,
            shadow_reach: 0.01,
            still: Still::default(),
        },
        view: View::new(eye, v3(0.23, 1.40, -0.55), 22.0),
        sources: sources(),
        levels: steady,
        marks: named,
    }
}
