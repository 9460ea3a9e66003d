//! As the light goes: both at the rail, seen forward past the boat.

use super::super::house::SIDE;
use super::super::sky::Sky;
use super::super::stores::{Cask, Crate};
use super::super::wall_lamp::WallLamp;
use super::super::{Lighting, going, ship, sources};
use super::{front, usual};
use crate::body::{Card, Chart, Crew, Garment, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap};
use crate::material::WHITE;
use crate::set_up::MarkKind::{Foliage, Surface};
use crate::set_up::{Stage, marks};
use crate::space::{Place, View, v3};
use crate::trace::{Scene, Shape, Still};

/// The two at the rail from the other side; the light falls over the shot.
pub fn late() -> Stage {
    let eye = v3(-0.25, 1.42, -3.0);
    let lamp = WallLamp { root: v3(SIDE, 2.02, 1.75), halo: [0.50, 0.024] };
    let lighting = Lighting { key: v3(0.70, 0.50, -0.52), sky: [1.45, 0.48], lamp: 2.3 };
    let half_turn = std::f64::consts::PI;

    let mate_at = Place::at(v3(-0.52, 1.43, 0.10)).facing(half_turn - 0.44);
    let cook_at = Place::at(v3(0.34, 1.38, 0.35)).facing(half_turn + 0.25);
    let mate = Head::new(Crew::Mate, mate_at, Pose { nod: 0.0, lean: 0.02, turns: 0.0 });
    let cook = Head::new(Crew::Cook, cook_at, Pose { nod: 0.10, lean: 0.03, turns: 0.06 });
    let worn = Torso::new(mate_at, Garment::OilskinAndVest);

    let table = Crate {
        place: Place::at(v3(0.44, 0.0, -0.55)).facing(half_turn + 0.05),
        size: v3(0.50, 0.88, 0.24),
        seed: 374,
    };
    let cask = Cask { at: v3(-0.95, 0.0, -0.55) };
    let turned = half_turn + 0.04;
    let chart = Chart::standing(Place::at(table.lid(-0.14, -0.08)).facing(turned));
    let card = Card::standing(Place::at(table.lid(0.16, 0.06)).facing(turned));
    let trap = Trap::standing(Place::at(table.lid(0.31, -0.04)).looking_to(eye));
    let mug = Mug::standing(Place::at(table.lid(0.44, 0.10)).facing(2.0));
    let herbs = Herbs::standing(Place::at(v3(-0.97, Cask::HIGH - 0.022, -0.55)).facing(half_turn - 0.2));
    let rope_at = Place::at(v3(SIDE + 0.09, 1.66, 0.95)).facing(half_turn / 2.0 + 0.45);
    let rope = Rope::hanging(rope_at, 0.0);
    let pan_at = Place::at(v3(SIDE + 0.06, 1.40, 1.55)).facing(half_turn / 2.0 + 0.25);
    let pan = Pan::hanging(pan_at);

    let mut named = usual(&card, &chart, (&mate, -1.0), (&cook, -1.0));
    named.extend([
        marks::square("life vest", worn.chest(1.0), 0.02, Surface),
        marks::square("herbs", herbs.leaves(), 0.012, Foliage),
        marks::square("enamel mug", mug.front(), 0.012, Surface),
        marks::square("rope", rope.tan(), 0.005, Surface),
        marks::square("oilskin", front(&worn, mate_at, 0.22, -0.24), 0.010, Surface),
        marks::square("copper pan", front(&pan, pan_at, -0.02, -0.04), 0.008, Surface),
        marks::square("light trap", trap.mouth(), Trap::MOUTH_HALF, Surface),
        marks::square("wood", table.lid(0.29, 0.09), 0.010, Surface),
    ]);
    let mut shapes = ship(lamp);
    shapes.extend::<Vec<Box<dyn Shape>>>(vec![
        Box::new(table),
        Box::new(cask),
        Box::new(chart),
        Box::new(card),
        Box::new(trap),
        Box::new(mug),
        Box::new(herbs),
        Box::new(pan),
        Box::new(rope),
        Box::new(worn),
        Box::new(mate),
        Box::new(Torso::new(cook_at, Garment::Jacket)),
        Box::new(cook),
    ]);
    let sky = Sky { glow: v3(0.75, 0.0, 0.66).unit(), shore: v3(0.20, 0.0, 1.0).unit(), band: 0.45 };
    Stage {
        scene: Scene {
            shapes,
            lamps: lighting.lamps(&lamp),
            backdrop: Box::new(move |ray, _| sky.look(ray)),
            white: WHITE,
            shadow_reach: 0.03,
            still: Still::default(),
        },
        view: View::new(eye, v3(-0.08, 1.36, 0.0), 24.0),
        sources: sources(),
        levels: going,
        marks: named,
    }
}
