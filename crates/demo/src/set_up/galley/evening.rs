//! Shot 010: the end of the night. The cook at the range, the mate at the table, in the lamp's warm light; beyond the post
//! the window's cold one. 010b is the same seen from another place.

use super::actors::Actors;
use super::fittings::{BULB, LOCKER, PANE, RAIL, RANGE, TABLE, WORKTOP, fittings};
use super::room::{WALL_Z, wall_clock};
use super::solid::Flag;
use super::{lamp, range, ware, window};
use crate::body::{Card, Chart, Crew, Garment, Grip, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Towel, Trap, Vest};
use crate::light::Light;
use crate::material::WHITE;
use crate::set_up::marks::grey;
use crate::set_up::{Level, Source, Stage};
use crate::space::{Bounds, Place, Vec3, View, v3};
use crate::trace::{Glow, Lamp, Scene, Shape, Still};

/// The lamps of the room.
const KEY: usize = 0;
/// The windows.
const WINDOW: usize = 1;

/// Where the first camera stands, and what it looks at.
const FIRST: [Vec3; 2] = [v3(-0.02, 1.42, 3.2), v3(0.0, 1.232, 0.0)];
/// Where the second camera stands, and what it looks at.
const SECOND: [Vec3; 2] = [v3(0.95, 1.5, 3.12), v3(0.155, 1.2, 0.0)];

/// The spoon in the pot: its foot, and where the cook holds it.
const SPOON: [Vec3; 2] = [v3(-0.3, 0.97, -0.34), v3(-0.22, 1.16, -0.45)];
/// Towards the lamp that is the key, which hangs out of frame to the left.
const TO_KEY: Vec3 = v3(-0.45, 0.5, 0.74);

/// What hands and turns hide from the second camera.
const HIDDEN: [&str; 2] = ["enamel mug", "light trap"];

/// The stage as seen by the second camera.
pub fn second() -> Stage {
    let mut stage = stage(SECOND);
    stage.marks.retain(|mark| !HIDDEN.contains(&mark.name));
    stage
}

/// The stage as seen by the first camera.
pub fn first() -> Stage {
    stage(FIRST)
}

/// The stage as seen from a place, towards another.
fn stage([from, at]: [Vec3; 2]) -> Stage {
    let actors = actors();
    let window_card = Card::standing(Place::at(v3(1.3, LOCKER, -1.0)));
    let edge_card = Card::standing(Place::at(v3(1.026, LOCKER, -0.87)));
    let mut marks = actors.marks();
    marks.extend([grey("grey card, window", &window_card), grey("grey card, edge", &edge_card)]);
    let mut shapes = actors.shapes();
    shapes.extend([Box::new(window_card) as Box<dyn Shape>, Box::new(edge_card)]);
    shapes.extend(environment());
    shapes.extend(flags());
    Stage {
        scene: Scene {
            shapes,
            lamps: lamps(),
            backdrop: Box::new(|_, _| vec![Glow { source: KEY, level: 0.0003 }]),
            white: WHITE,
            shadow_reach: 0.05,
            still: Still::default(),
        },
        view: View::new(from, at, 23.5),
        sources: vec![
            Source { name: "lamp", light: Light::Tungsten, later: None, relit: true },
            Source { name: "window", light: Light::Window, later: None, relit: true },
        ],
        levels: |_| vec![Level::FULL, Level::FULL],
        marks,
    }
}

fn lamps() -> Vec<Lamp> {
    vec![
        Lamp::far(KEY, TO_KEY, 0.06, 1.26),
        // The lamp in frame, for the wall behind it and for the edges of heads: it stands in for the one that is seen.
        Lamp::near(KEY, v3(0.05, 2.3, -0.98), 0.12, 0.6),
        // The window in frame, and the next one along the hull, which fills.
        Lamp::near(WINDOW, PANE + v3(0.0, 0.0, 0.16), 0.2, 0.8),
        Lamp::near(WINDOW, v3(1.9, 1.5, 0.5), 0.25, 0.9),
        Lamp::dome(KEY, v3(-0.2, 1.0, 0.3), 0.06),
        Lamp::dome(WINDOW, v3(1.0, 0.3, 0.3), 0.035),
    ]
}

/// Boards out of frame: one keeps the key off the wall above the crew, one off the corner behind the post.
fn flags() -> Vec<Box<dyn Shape>> {
    vec![
        Box::new(Flag(Bounds { least: v3(-3.0, 2.52, 0.19), most: v3(1.4, 4.2, 0.2) })),
        Box::new(Flag(Bounds { least: v3(0.09, 1.76, 0.99), most: v3(2.4, 4.2, 1.0) })),
    ]
}

/// The room and what of it is this shot's own.
fn environment() -> Vec<Box<dyn Shape>> {
    let mut shapes = fittings();
    shapes.push(wall_clock(v3(0.36, 1.83, WALL_Z), 4.8));
    shapes.extend(lamp::lamp(BULB, true, KEY));
    shapes.extend(window::window(PANE, window::dawn, WINDOW));
    shapes.push(range::pot(v3(-0.28, RANGE, -0.36), 0.5));
    shapes.push(range::spoon(SPOON[0], SPOON[1] + (SPOON[1] - SPOON[0]) * 0.35));
    shapes.push(range::kettle(v3(-0.82, RANGE, -0.4), -0.5));
    shapes.push(Box::new(Towel::hanging(Place::at(v3(-0.05, RANGE + 0.002, -0.09)))));
    shapes.push(range::ladle(v3(-0.74, RAIL[0] - 0.01, RAIL[1]), 0.25));
    shapes.push(ware::onions(v3(-1.38, RAIL[0], RAIL[1])));
    shapes
}

fn actors() -> Actors {
    let mate = Place::at(v3(0.3, 1.1, -0.1)).facing(0.3);
    let cook = Place::at(v3(-0.44, 1.41, -0.86)).facing(0.2);
    let pan_at = Place::at(v3(-0.19, 1.47, -0.62)).facing(-0.2);
    let mug = v3(0.37, TABLE, 0.27);
    let sitting = Torso::new(mate, Garment::Oilskin)
        .with_hand(1.0, Grip::Round { at: mug + v3(0.0, 0.045, 0.0), along: v3(0.0, 1.0, 0.0), radius: 0.041 })
        .with_hand(-1.0, Grip::Flat { at: v3(0.13, TABLE, 0.27) });
    let standing = Torso::new(cook, Garment::Jacket)
        .with_hand(1.0, Grip::Round { at: SPOON[1], along: (SPOON[1] - SPOON[0]).unit(), radius: 0.011 });
    let stirring = Pose { nod: 0.25, lean: 0.0, turns: 0.06 };
    Actors {
        card: Card::standing(Place::at(v3(-0.63, WORKTOP, 0.22))),
        chart: Chart::standing(Place::at(v3(-0.94, WORKTOP, 0.12))),
        trap: Trap::standing(Place::at(v3(-0.19, TABLE, 0.3)).facing(0.05)),
        mug: Mug::standing(Place::at(mug).facing(-1.05)),
        herbs: Herbs::standing(Place::at(v3(0.95, TABLE, 0.45)).facing(-0.3)),
        vest: Vest::hanging(Place::at(v3(-0.98, 1.62, WALL_Z + 0.1))),
        rope: Rope::hanging(Place::at(v3(0.715, 1.485, -0.085)), 0.0),
        pan: Pan::hanging(pan_at),
        pan_at,
        mate: (sitting, Head::new(Crew::Mate, mate.facing(0.5), Pose::default())),
        cook: (standing, Head::new(Crew::Cook, cook.facing(0.1), stirring)),
        wood: v3(0.55, TABLE, 0.55),
        key_side: -1.0,
    }
}
