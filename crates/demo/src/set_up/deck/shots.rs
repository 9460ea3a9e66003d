//! The shots: where the camera, the crew and the stores are.

use super::house::SIDE;
use super::wall_lamp::WallLamp;
use super::rail::{CAP, RAIL};
use super::sky::Sky;
use super::stores::{Cask, Crate};
use super::{lamps, ship, sources, steady};
use crate::body::{Card, Chart, Crew, Garment, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap, Vest};
use crate::material::WHITE;
use crate::set_up::MarkKind::{Foliage, Skin, Surface};
use crate::set_up::{Mark, Stage, marks};
use crate::space::{Place, View, v3};
use crate::trace::{Scene, Shape};

/// Both at the rail on a quiet crossing, seen aft along the deck.
pub(super) fn wide() -> Stage {
    let eye = v3(0.12, 1.52, 3.55);
    let lantern = WallLamp { root: v3(SIDE, 2.12, -1.75), halo: [0.55, 0.028] };
    let key = v3(0.66, 0.52, 0.54);

    let mate_at = Place::at(v3(-0.40, 1.43, -0.15)).facing(0.55);
    let cook_at = Place::at(v3(0.50, 1.40, -0.45)).facing(-0.40);
    let mate = Head::new(Crew::Mate, mate_at, Pose { nod: 0.05, lean: 0.03, turns: 0.0 });
    let cook = Head::new(Crew::Cook, cook_at, Pose { nod: 0.0, lean: -0.03, turns: 0.05 });
    let oilskin = Torso::new(mate_at, Garment::Oilskin);

    let low = Crate { place: Place::at(v3(0.78, 0.0, 0.42)).facing(-0.12), size: v3(0.36, 0.70, 0.22), seed: 371 };
    let left = Crate { place: Place::at(v3(-0.92, 0.0, 0.35)).facing(0.25), size: v3(0.30, 0.62, 0.22), seed: 372 };
    let cask = Cask { at: v3(0.08, 0.0, 0.0) };
    let to_camera = -0.15;
    let chart = Chart::standing(Place::at(v3(0.82, 0.70, 0.47)).facing(to_camera));
    let card = Card::standing(Place::at(v3(0.53, 0.70, 0.52)).facing(to_camera));
    let trap = Trap::standing(Place::at(v3(0.42, 0.70, 0.36)).facing(-0.1));
    let mug = Mug::standing(Place::at(v3(0.16, Cask::HIGH, 0.10)).facing(0.6));
    let herbs = Herbs::standing(Place::at(v3(-0.92, 0.62, 0.35)).facing(0.22));
    let pan = Pan::hanging(Place::at(v3(-1.05, 1.42, -2.56)));
    let rope = Rope::hanging(Place::at(v3(RAIL - 0.09, CAP - 0.04, -1.5)).facing(-0.5), 0.05);
    let vest = Vest::hanging(Place::at(v3(RAIL - 0.12, CAP, -0.62)).facing(-0.35));

    let named = vec![
        marks::square("mate, key side", mate.cheek(1.0), 0.008, Skin),
        marks::square("mate, fill side", mate.cheek(-1.0), 0.008, Skin),
        marks::square("cook, key side", cook.cheek(1.0), 0.008, Skin),
        marks::square("cook, fill side", cook.cheek(-1.0), 0.008, Skin),
        marks::square("oilskin", oilskin.chest(1.0), 0.02, Surface),
        marks::square("herbs", herbs.leaves(), 0.012, Foliage),
        marks::square("life vest", vest.orange(), 0.02, Surface),
        marks::square("light trap", trap.mouth(), Trap::MOUTH_HALF, Surface),
    ];
    let mut shapes = ship(lantern);
    shapes.extend::<Vec<Box<dyn Shape>>>(vec![
        Box::new(low),
        Box::new(left),
        Box::new(cask),
        Box::new(chart),
        Box::new(card),
        Box::new(trap),
        Box::new(mug),
        Box::new(herbs),
        Box::new(pan),
        Box::new(rope),
        Box::new(vest),
        Box::new(oilskin),
        Box::new(mate),
        Box::new(Torso::new(cook_at, Garment::Jacket)),
        Box::new(cook),
    ]);
    let sky = Sky { glow: v3(0.45, 0.0, -0.9).unit(), shore: v3(0.10, 0.0, -1.0).unit(), band: 0.8 };
    Stage {
        scene: Scene {
            shapes,
            lamps: lamps(key, &lantern, 2.2),
            backdrop: Box::new(move |ray, _| sky.look(ray)),
            white: WHITE,
            shadow_reach: 0.12,
        },
        view: View::new(eye, v3(0.05, 1.36, 0.0), 24.0),
        sources: sources(),
        levels: steady,
        marks: all(named, &chart, &card),
    }
}

/// Named marks after those of card and chart.
fn all(named: Vec<Mark>, chart: &Chart, card: &Card) -> Vec<Mark> {
    let mut all = vec![marks::grey("grey card", card)];
    all.extend(marks::darks(card));
    all.extend(marks::patches(chart));
    all.extend(named);
    all
}
