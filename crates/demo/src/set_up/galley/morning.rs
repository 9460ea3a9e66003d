//! Shot 020, the control: the next morning. The hatch stands open over the table, an even overcast sky lights all of it,
//! the lamp is out. The cook sits at last, the mate is at the range.

use super::actors::Actors;
use super::room::{WALL_Z, wall_clock};
use super::solid::Flag;
use super::{dome, far, lamp, near, range, room, ware, window};
use crate::body::{
    Card, Chart, Crew, Garment, Grip, Head, Herbs, Jug, Mug, Pan, Planks, Pose, Rope, Torso, Towel, Trap, Vest,
    WARM_WOOD,
};
use crate::light::Light;
use crate::material::{BRICK, CREAM, ENAMEL_RIM, SAGE, WHITE};
use crate::set_up::{Level, Source, Stage};
use crate::space::{Bounds, Place, Vec3, View, v3};
use crate::trace::{Glow, Scene, Shape, Still};

/// The sky, straight and by the walls.
const SKY: usize = 0;
/// Where the camera stands.
const EYE: Vec3 = v3(1.2, 1.45, 2.35);
/// Towards the brightest of the sky through the hatch.
const TO_SKY: Vec3 = v3(-0.12, 0.66, 0.74);
/// The bulb of the lamp, which is out.
const BULB: Vec3 = v3(0.02, 1.64, -0.55);
/// The window's middle.
const PANE: Vec3 = v3(1.25, 1.46, WALL_Z);
/// Height of the worktop.
const WORKTOP: f64 = 0.89;
/// Height of the range.
const RANGE: f64 = 0.9;
/// Height of the table.
const TABLE: f64 = 0.76;
/// Height of the locker.
const LOCKER: f64 = 0.93;

/// At a place, turned to the camera.
fn towards_eye(at: Vec3) -> Place {
    Place::at(at).facing((EYE.x - at.x).atan2(EYE.z - at.z))
}

/// The stage.
pub fn stage() -> Stage {
    let actors = actors();
    let marks = actors.marks();
    let mut shapes = actors.shapes();
    shapes.extend(environment());
    // The deckhead behind the hatch, above the frame: the wall falls off upwards.
    shapes.push(Box::new(Flag(Bounds { least: v3(-3.0, 2.2, -2.0), most: v3(3.0, 2.25, -0.42) })));
    Stage {
        scene: Scene {
            shapes,
            lamps: vec![
                far(SKY, TO_SKY, 0.22, 1.35),
                // The window and a door beyond the left edge of the frame give edges.
                near(SKY, PANE + v3(0.0, 0.0, 0.16), 0.25, 0.8),
                dome(SKY, v3(0.2, 1.0, 0.6), 0.36),
            ],
            backdrop: Box::new(|_, _| vec![Glow { source: SKY, level: 0.0003 }]),
            white: WHITE,
            shadow_reach: 0.02,
            still: Still::default(),
        },
        view: View::new(EYE, v3(0.0, 1.125, -0.25), 23.5),
        sources: vec![Source { name: "overcast sky", light: Light::Overcast, later: None, relit: true }],
        levels: |_| vec![Level::FULL],
        marks,
    }
}

/// The room and what belongs to it.
fn environment() -> Vec<Box<dyn Shape>> {
    let mut shapes = room::walls();
    shapes.push(room::post(v3(0.715, 0.0, -0.2), 0.055, 2.1));
    shapes.push(room::timber(Bounds { least: v3(-1.52, 1.9, -0.72), most: v3(2.0, 2.1, -0.58) }, false));
    shapes.push(room::rail(v3(-0.72, 1.83, -0.64), 0.64));
    shapes.push(wall_clock(v3(0.36, 1.83, WALL_Z), 7.6));
    shapes.extend(lamp::lamp(BULB, false, SKY));
    shapes.extend(range::range(Bounds { least: v3(-1.0, 0.1, -0.62), most: v3(0.1, RANGE, -0.12) }));
    shapes.push(range::pot(v3(-0.12, RANGE, -0.4), 0.5));
    shapes.push(range::kettle(v3(-0.62, RANGE, -0.36), 0.3));
    shapes.extend(room::locker(Bounds { least: v3(-1.5, 0.1, -0.02), most: v3(-0.52, WORKTOP - 0.03, 0.36) }, 2.0));
    shapes.extend(room::locker(Bounds { least: v3(0.78, 0.1, -1.28), most: v3(1.8, LOCKER - 0.03, -0.45) }, 2.0));
    let table = Bounds { least: v3(-0.3, TABLE - 0.035, 0.14), most: v3(1.3, TABLE, 0.74) };
    shapes.push(Box::new(Planks::new(table, 0.15).of(WARM_WOOD)));
    shapes.extend(window::window(PANE, window::overcast, SKY));
    shapes.push(window::curtain(v3(PANE.x - 0.3, PANE.y + 0.36, WALL_Z), 0.1, 0.62));
    shapes.extend(room::shelf(-0.06, 0.66, 1.42));
    let on = |x: f64, z: f64| v3(x, 1.42, WALL_Z + z);
    shapes.push(ware::jar(on(0.02, 0.1), 0.05, 0.15, BRICK, true));
    shapes.push(ware::jar(on(0.13, 0.1), 0.042, 0.12, ENAMEL_RIM, false));
    shapes.push(ware::bottle(on(0.21, 0.08)));
    shapes.push(ware::plates(on(0.36, 0.13), 4));
    shapes.push(ware::jar(on(0.53, 0.1), 0.055, 0.17, SAGE, true));
    shapes.push(ware::jar(on(0.61, 0.1), 0.036, 0.1, CREAM, false));
    shapes.push(ware::onions(v3(-0.33, 1.83, -0.64)));
    shapes.push(Box::new(Towel::hanging(Place::at(v3(-0.8, RANGE + 0.002, -0.09)))));
    shapes.push(Box::new(Jug::standing(Place::at(v3(0.84, TABLE, 0.24)).facing(0.9))));
    shapes
}

fn actors() -> Actors {
    let cook = Place::at(v3(0.36, 1.1, -0.1)).facing(0.15);
    let mate = Place::at(v3(-0.72, 1.42, -0.86)).facing(0.75);
    let pan_at = Place::at(v3(-1.02, 1.47, -0.62)).facing(0.4);
    let sitting = Torso::new(cook, Garment::Jacket)
        .with_hand(-1.0, Grip::Flat { at: v3(0.2, TABLE, 0.23) })
        .with_hand(1.0, Grip::Flat { at: v3(0.55, TABLE, 0.21) });
    let standing = Torso::new(mate, Garment::Oilskin);
    let tired = Pose { nod: 0.2, lean: 0.0, turns: 0.0 };
    let looking = Pose { nod: 0.05, lean: 0.0, turns: 0.05 };
    let side = std::f64::consts::FRAC_PI_2;
    Actors {
        card: Card::standing(towards_eye(v3(-0.18, TABLE, 0.3))),
        chart: Chart::standing(towards_eye(v3(-0.74, WORKTOP, 0.12))),
        trap: Trap::standing(towards_eye(v3(0.06, TABLE, 0.42))),
        mug: Mug::standing(Place::at(v3(0.36, TABLE, 0.31)).facing(0.2)),
        herbs: Herbs::standing(Place::at(v3(1.02, TABLE, 0.4)).facing(0.7)),
        vest: Vest::hanging(Place::at(v3(-1.42, 1.62, -0.42)).facing(side)),
        rope: Rope::hanging(Place::at(v3(-1.45, 1.66, -0.95)).facing(side), 0.0),
        pan: Pan::hanging(pan_at),
        pan_at,
        mate: (standing, Head::new(Crew::Mate, mate.facing(0.85), looking)),
        cook: (sitting, Head::new(Crew::Cook, cook.facing(0.4), tired)),
        wood: v3(0.17, TABLE, 0.36),
        key_side: -1.0,
    }
}
