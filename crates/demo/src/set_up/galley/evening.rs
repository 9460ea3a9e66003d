//! Shot 010: the end of the night. The cook at the range, the mate at the table, in the lamp's warm light; beyond the post
//! the window's cold one. 010b is the same seen from another place.

use super::solid::Flag;
use super::{lamp, range, room, ware, window};
use crate::body::{Card, Chart, Crew, Garment, Gauge, Head, Herbs, Mug, Pan, Planks, Pose, Rope, Torso, Trap, Vest};
use crate::light::Light;
use crate::material::{BRICK, CREAM, ENAMEL_RIM, SAGE, WHITE};
use crate::set_up::{Level, Mark, MarkKind, Source, Stage};
use crate::space::{Bounds, Place, Vec3, View, v3};
use crate::trace::{Glow, Lamp, LampKind, Scene, Shape};

/// The lamps of the room.
const KEY: usize = 0;
/// The windows.
const WINDOW: usize = 1;

/// Where the first camera stands.
pub const FIRST: [Vec3; 2] = [v3(-0.02, 1.42, 3.2), v3(0.0, 1.232, 0.0)];
/// Where the second camera stands.
pub const SECOND: [Vec3; 2] = [v3(0.9, 1.5, 3.05), v3(0.16, 1.2, 0.0)];

/// The bulb of the lamp in frame.
const BULB: Vec3 = v3(0.02, 1.64, -0.55);
/// The window's middle.
const PANE: Vec3 = v3(1.25, 1.46, room::WALL_Z);
/// Heights of the worktop, the range, the table and the locker.
const WORKTOP: f64 = 0.89;
const RANGE: f64 = 0.9;
const TABLE: f64 = 0.76;
const LOCKER: f64 = 0.93;
/// Towards the lamp that is the key, which hangs out of frame to the left.
const TO_KEY: Vec3 = v3(-0.45, 0.5, 0.74);

/// The stage as seen from a place, towards another.
pub fn stage([from, at]: [Vec3; 2]) -> Stage {
    let actors = Actors::new();
    let marks = actors.marks();
    let mut shapes = actors.shapes();
    shapes.extend(environment());
    shapes.extend(flags());
    Stage {
        scene: Scene {
            shapes,
            lamps: lamps(),
            backdrop: Box::new(|_, _| vec![Glow { source: KEY, level: 0.0003 }]),
            white: WHITE,
            shadow_reach: 0.1,
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
    let far = |source, towards: Vec3, wide, level| Lamp {
        source,
        kind: LampKind::Far { towards: towards.unit(), wide },
        level,
    };
    let near = |source, place, wide, level| Lamp { source, kind: LampKind::Near { place, wide }, level };
    let dome = |source, towards: Vec3, level| Lamp { source, kind: LampKind::Dome { towards: towards.unit() }, level };
    vec![
        far(KEY, TO_KEY, 0.06, 1.26),
        // The lamp in frame, for the wall behind it and for the edges of heads: it stands in for the one that is seen.
        near(KEY, v3(0.05, 2.3, -0.98), 0.12, 0.55),
        // The window in frame, and the next one along the hull, which fills.
        near(WINDOW, PANE + v3(0.0, 0.0, 0.16), 0.2, 0.8),
        near(WINDOW, v3(1.9, 1.5, 0.5), 0.25, 0.9),
        dome(KEY, v3(-0.2, 1.0, 0.3), 0.06),
        dome(WINDOW, v3(1.0, 0.3, 0.3), 0.035),
    ]
}

/// Boards out of frame: one keeps the key off the wall above the crew, one off the corner behind the post.
fn flags() -> Vec<Box<dyn Shape>> {
    vec![
        Box::new(Flag(Bounds { least: v3(-3.0, 2.52, 0.19), most: v3(1.4, 4.2, 0.2) })),
        Box::new(Flag(Bounds { least: v3(-0.02, 1.76, 0.99), most: v3(2.4, 4.2, 1.0) })),
    ]
}

/// The room and what belongs to it.
fn environment() -> Vec<Box<dyn Shape>> {
    let mut shapes = room::walls();
    shapes.push(room::post(v3(0.715, 0.0, -0.2), 0.055, 2.1));
    shapes.push(room::timber(Bounds { least: v3(-1.52, 1.9, -0.72), most: v3(2.0, 2.1, -0.58) }, false));
    shapes.push(room::rail(v3(-0.72, 1.83, -0.64), 0.64));
    shapes.push(Box::new(Gauge::clock(Place::at(v3(0.36, 1.83, room::WALL_Z)), 0.1, 4.8)));
    shapes.extend(lamp::lamp(BULB, true, KEY));
    shapes.extend(range::range(Bounds { least: v3(-1.0, 0.1, -0.62), most: v3(0.1, RANGE, -0.12) }));
    shapes.push(range::pot(v3(-0.28, RANGE, -0.36), 0.5));
    shapes.push(range::kettle(v3(-0.82, RANGE, -0.4), -0.5));
    shapes.push(range::ladle(v3(-0.74, 1.82, -0.64), 0.25, 0.07));
    shapes.extend(room::locker(Bounds { least: v3(-1.5, 0.1, -0.02), most: v3(-0.52, WORKTOP - 0.03, 0.36) }, 2.0));
    shapes.extend(room::locker(Bounds { least: v3(0.78, 0.1, -1.28), most: v3(1.8, LOCKER - 0.03, -0.45) }, 2.0));
    shapes
        .push(Box::new(Planks::new(Bounds { least: v3(-0.3, TABLE - 0.035, 0.14), most: v3(1.3, TABLE, 0.74) }, 0.15)));
    shapes.extend(window::window(PANE, window::dawn, WINDOW));
    shapes.extend(window::curtain(PANE.x - 0.3, PANE.y + 0.36, 0.1, 0.62));
    shapes.extend(room::shelf(-0.06, 0.66, 1.42));
    let on = |x: f64| v3(x, 1.42, room::WALL_Z + 0.1);
    shapes.push(ware::jar(on(0.02), 0.05, 0.15, BRICK, true));
    shapes.push(ware::jar(on(0.13), 0.042, 0.12, ENAMEL_RIM, false));
    shapes.push(ware::bottle(on(0.21) + v3(0.0, 0.0, -0.02)));
    shapes.push(ware::plates(on(0.36) + v3(0.0, 0.0, 0.03), 4));
    shapes.push(ware::jar(on(0.53), 0.055, 0.17, SAGE, true));
    shapes.push(ware::jar(on(0.61), 0.036, 0.1, CREAM, false));
    shapes.push(ware::onions(v3(-1.26, 1.83, -0.64)));
    shapes
}

/// What recurs in every shot.
struct Actors {
    card: Card,
    window_card: Card,
    edge_card: Card,
    chart: Chart,
    trap: Trap,
    mug: Mug,
    herbs: Herbs,
    vest: Vest,
    rope: Rope,
    pan: Pan,
    mate: (Torso, Head),
    cook: (Torso, Head),
}

impl Actors {
    fn new() -> Self {
        let mate = Place::at(v3(0.3, 1.1, -0.1)).facing(0.3);
        let cook = Place::at(v3(-0.44, 1.41, -0.86)).facing(0.25);
        Self {
            card: Card::standing(Place::at(v3(-0.63, WORKTOP, 0.22))),
            window_card: Card::standing(Place::at(v3(1.2, LOCKER, -0.75))),
            edge_card: Card::standing(Place::at(v3(0.87, LOCKER, -0.55))),
            chart: Chart::standing(Place::at(v3(-0.94, WORKTOP, 0.12))),
            trap: Trap::standing(Place::at(v3(-0.17, TABLE, 0.5)).facing(0.1)),
            mug: Mug::standing(Place::at(v3(0.1, TABLE, 0.4)).facing(0.7)),
            herbs: Herbs::standing(Place::at(v3(0.98, TABLE, 0.45)).facing(-0.3)),
            vest: Vest::hanging(Place::at(v3(-1.02, 1.6, room::WALL_Z + 0.08))),
            rope: Rope::hanging(Place::at(v3(0.715, 1.62, -0.1)), 0.0),
            pan: Pan::hanging(Place::at(v3(-0.19, 1.47, -0.62)).facing(-0.2)),
            mate: (Torso::new(mate, Garment::Oilskin), Head::new(Crew::Mate, mate.facing(0.5), Pose::default())),
            cook: (
                Torso::new(cook, Garment::Jacket),
                Head::new(Crew::Cook, cook.facing(0.35), Pose { nod: 0.3, lean: 0.0, turns: 0.06 }),
            ),
        }
    }

    fn shapes(self) -> Vec<Box<dyn Shape>> {
        vec![
            Box::new(self.card),
            Box::new(self.window_card),
            Box::new(self.edge_card),
            Box::new(self.chart),
            Box::new(self.trap),
            Box::new(self.mug),
            Box::new(self.herbs),
            Box::new(self.vest),
            Box::new(self.rope),
            Box::new(self.pan),
            Box::new(self.mate.0),
            Box::new(self.mate.1),
            Box::new(self.cook.0),
            Box::new(self.cook.1),
        ]
    }

    fn marks(&self) -> Vec<Mark> {
        vec![Mark { name: "grey card", place: self.card.face(), half: Card::FACE_HALF, kind: MarkKind::Card }]
    }
}
