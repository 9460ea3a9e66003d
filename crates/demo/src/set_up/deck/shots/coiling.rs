//! The mate, closer, coils a rope; the cook looks on from the galley door.

use super::super::house::SIDE;
use super::super::sky::Sky;
use super::super::stores::Crate;
use super::super::tail::Tail;
use super::super::wall_lamp::WallLamp;
use super::super::{LOCKER, Lighting, ship, sources, steady};
use super::{facing, usual};
use crate::body::{Card, Chart, Crew, Garment, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap, Vest};
use crate::material::WHITE;
use crate::set_up::MarkKind::{Foliage, Surface};
use crate::set_up::{Stage, marks};
use crate::space::{Place, View, v3};
use crate::trace::{Scene, Shape};

/// The mate with the rope, seen from the rail towards the deckhouse.
pub fn coiling() -> Stage {
    let eye = v3(0.85, 1.52, 1.75);
    let lamp = WallLamp { root: v3(SIDE, 1.98, -2.35), halo: [0.40, 0.022] };
    let lighting = Lighting { key: v3(0.74, 0.54, 0.46), sky: [1.45, 0.52], lamp: 2.0 };

    let mate_at = Place::at(v3(0.34, 1.43, -0.55)).facing(0.50);
    let cook_at = Place::at(v3(-0.52, 1.38, -2.25)).facing(0.62);
    let mate = Head::new(Crew::Mate, mate_at, Pose { nod: 0.16, lean: 0.04, turns: 0.0 });
    let cook = Head::new(Crew::Cook, cook_at, Pose { nod: 0.02, lean: 0.0, turns: 0.08 });
    let oilskin = Torso::new(mate_at, Garment::Oilskin);

    let table = Crate { place: Place::at(v3(-0.62, 0.0, -0.36)).facing(0.12), size: v3(0.52, 0.88, 0.27), seed: 373 };
    let far = Crate { place: Place::at(v3(-1.20, 0.0, -1.75)).facing(0.2), size: v3(0.28, 0.98, 0.24), seed: 375 };
    let chart = Chart::standing(Place::at(table.lid(0.05, -0.10)).facing(0.42));
    let card = Card::standing(Place::at(table.lid(0.36, -0.02)).facing(0.42));
    let trap = Trap::standing(facing(table.lid(-0.20, 0.10), eye));
    let mug = Mug::standing(Place::at(table.lid(0.16, 0.16)).facing(1.2));
    let herbs = Herbs::standing(Place::at(far.lid(0.02, 0.0)).facing(0.35));
    let rope = Rope::hanging(Place::at(v3(0.46, 1.24, -0.26)).facing(0.3), 0.0);
    let tail = Tail { from: v3(0.60, 1.22, -0.20), long: 0.40, swing: 0.09 };
    let vest = Vest::hanging(Place::at(v3(-1.22, 1.66, LOCKER + 0.08)));
    let pan = Pan::hanging(Place::at(v3(-0.93, 1.32, LOCKER + 0.06)));

    let mut named = usual(&card, &chart, (&mate, 1.0), (&cook, 1.0));
    named.extend([
        marks::square("oilskin", oilskin.chest(1.0), 0.02, Surface),
        marks::square("herbs", herbs.leaves(), 0.012, Foliage),
        marks::square("enamel mug", mug.front(), 0.012, Surface),
        marks::square("life vest", vest.orange(), 0.02, Surface),
        marks::square("light trap", trap.mouth(), Trap::MOUTH_HALF, Surface),
        marks::square("wood", table.lid(0.30, 0.2), 0.012, Surface),
    ]);
    let mut shapes = ship(lamp);
    shapes.extend::<Vec<Box<dyn Shape>>>(vec![
        Box::new(table),
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
        Box::new(Torso::new(cook_at, Garment::Jacket)),
        Box::new(cook),
    ]);
    let sky = Sky { glow: v3(0.45, 0.0, -0.9).unit(), shore: v3(0.10, 0.0, -1.0).unit(), band: 0.7 };
    Stage {
        scene: Scene {
            shapes,
            lamps: lighting.lamps(&lamp),
            backdrop: Box::new(move |ray, _| sky.look(ray)),
            white: WHITE,
            shadow_reach: 0.06,
        },
        view: View::new(eye, v3(0.11, 1.40, -0.55), 22.0),
        sources: sources(),
        levels: steady,
        marks: named,
    }
}
