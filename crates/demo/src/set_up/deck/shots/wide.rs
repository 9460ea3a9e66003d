//! Both at the rail on a quiet crossing, seen aft along the deck.

use super::super::house::SIDE;
use super::super::rail::{CAP, RAIL};
use super::super::sky::Sky;
use super::super::stores::{Cask, Crate};
use super::super::wall_lamp::WallLamp;
use super::super::{LOCKER, Lighting, ship, sources, steady};
use super::{front, usual};
use crate::body::{Card, Chart, Crew, Garment, Grip, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap, Vest};
use crate::material::WHITE;
use crate::set_up::MarkKind::{Foliage, Surface};
use crate::set_up::{Stage, marks};
use crate::space::{Place, View, v3};
use crate::trace::{Scene, Shape, Still};

/// The wide two-shot with the chart on its crate.
pub fn wide() -> Stage {
    let eye = v3(0.10, 1.50, 3.55);
    let lamp = WallLamp { root: v3(SIDE, 2.12, -1.30), halo: [0.40, 0.022] };
    let lighting = Lighting { key: v3(0.72, 0.53, 0.44), sky: [1.42, 0.46], lamp: 2.6 };

    let mate_at = Place::at(v3(-0.40, 1.44, 0.10)).facing(0.46);
    let cook_at = Place::at(v3(0.58, 1.39, -0.55)).facing(-0.30);
    let mate = Head::new(Crew::Mate, mate_at, Pose { nod: 0.05, lean: 0.03, turns: 0.0 });
    let cook = Head::new(Crew::Cook, cook_at, Pose { nod: 0.0, lean: -0.04, turns: 0.05 });
    let oilskin = Torso::new(mate_at, Garment::Oilskin).with_hand(1.0, Grip::Flat { at: v3(-0.02, Cask::HIGH, 0.12) });
    let jacket = Torso::new(cook_at, Garment::Jacket)
        .with_hand(
            -1.0,
            Grip::Round { at: v3(0.24, Cask::HIGH + 0.025, -0.06), along: v3(0.0, 1.0, 0.0), radius: 0.043 },
        )
        .with_hand(
            1.0,
            Grip::Round { at: v3(RAIL - 0.01, CAP - 0.02, -0.42), along: v3(0.0, 0.0, -1.0), radius: 0.035 },
        );

    let low = Crate { place: Place::at(v3(0.70, 0.0, 0.48)).facing(-0.12), size: v3(0.36, 0.82, 0.22), seed: 371 };
    let left = Crate { place: Place::at(v3(-0.95, 0.0, 0.45)).facing(0.25), size: v3(0.30, 0.70, 0.22), seed: 372 };
    let cask = Cask { at: v3(0.12, 0.0, -0.10) };
    let chart = Chart::standing(Place::at(v3(0.77, 0.82, 0.52)).facing(0.06));
    let card = Card::standing(Place::at(v3(0.50, 0.82, 0.57)).facing(0.06));
    let trap = Trap::standing(Place::at(v3(0.40, 0.82, 0.42)).looking_to(eye));
    let mug = Mug::standing(Place::at(v3(0.26, Cask::HIGH - 0.022, 0.02)).facing(0.9));
    let herbs = Herbs::standing(Place::at(v3(-0.93, 0.70, 0.44)).facing(0.22));
    let pan_at = Place::at(v3(-1.40, 1.46, LOCKER + 0.06));
    let pan = Pan::hanging(pan_at);
    let rope_at = Place::at(v3(RAIL - 0.10, CAP - 0.05, 0.36)).facing(-0.3);
    let rope = Rope::hanging(rope_at, 0.0);
    let vest_at = Place::at(v3(-1.04, 1.72, LOCKER + 0.08));
    let vest = Vest::hanging(vest_at);

    let mut named = usual(&card, &chart, (&mate, 1.0), (&cook, 1.0));
    named.extend([
        marks::square("oilskin", oilskin.chest(1.0), 0.02, Surface),
        marks::square("herbs", herbs.leaves(), 0.012, Foliage),
        marks::square("enamel mug", mug.front(), 0.012, Surface),
        marks::square("life vest", front(&vest, vest_at, -0.11, -0.255), 0.009, Surface),
        marks::square("rope", front(&rope, rope_at, 0.06, -0.039), 0.006, Surface),
        marks::square("copper pan", front(&pan, pan_at, 0.04, -0.05), 0.010, Surface),
        marks::square("light trap", trap.mouth(), Trap::MOUTH_HALF, Surface),
        marks::square("wood", cask.front(0.785), 0.009, Surface),
    ]);
    let mut shapes = ship(lamp);
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
        Box::new(jacket),
        Box::new(cook),
    ]);
    let sky = Sky { glow: v3(0.45, 0.0, -0.9).unit(), shore: v3(0.10, 0.0, -1.0).unit(), band: 0.8 };
    Stage {
        scene: Scene {
            shapes,
            lamps: lighting.lamps(&lamp),
            backdrop: Box::new(move |ray, _| sky.look(ray)),
            white: WHITE,
            shadow_reach: 0.04,
            still: Still::default(),
        },
        view: View::new(eye, v3(0.05, 1.38, 0.0), 24.0),
        sources: sources(),
        levels: steady,
        marks: named,
    }
}
