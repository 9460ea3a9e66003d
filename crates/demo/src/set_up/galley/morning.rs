//! Shot 020, the control: the next morning. The hatch stands open over the table, an even overcast sky lights all of it,
//! the lamp is out. The cook sits at last, the mate is at the range.

use super::actors::Actors;
use super::fittings::{BULB, PANE, RAIL, RANGE, TABLE, WORKTOP, fittings};
use super::room::{WALL_Z, wall_clock};
use super::solid::Flag;
use super::{lamp, range, ware, window};
use crate::body::{Card, Chart, Crew, Garment, Grip, Head, Herbs, Jug, Mug, Pan, Pose, Rope, Torso, Towel, Trap, Vest};
use crate::light::Light;
use crate::material::WHITE;
use crate::set_up::{Level, Source, Stage};
use crate::space::{Bounds, Place, Vec3, View, v3};
use crate::trace::{Glow, Lamp, Scene, Shape, Still};

/// The sky, straight and by the walls.
const SKY: usize = 0;
/// Where the camera stands.
const EYE: Vec3 = v3(1.2, 1.45, 2.35);
/// Towards the brightest of the sky through the hatch.
const TO_SKY: Vec3 = v3(-0.12, 0.66, 0.74);

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
                Lamp::far(SKY, TO_SKY, 0.22, 1.35),
                // The window and a door beyond the left edge of the frame give edges.
                Lamp::near(SKY, PANE + v3(0.0, 0.0, 0.16), 0.25, 0.8),
                Lamp::dome(SKY, v3(0.2, 1.0, 0.6), 0.36),
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

/// The room and what of it is this shot's own.
fn environment() -> Vec<Box<dyn Shape>> {
    let mut shapes = fittings();
    shapes.push(wall_clock(v3(0.36, 1.83, WALL_Z), 7.6));
    shapes.extend(lamp::lamp(BULB, false, SKY));
    shapes.extend(window::window(PANE, window::overcast, SKY));
    shapes.push(range::pot(v3(-0.12, RANGE, -0.4), 0.5));
    shapes.push(range::kettle(v3(-0.62, RANGE, -0.36), 0.3));
    shapes.push(Box::new(Towel::hanging(Place::at(v3(-0.8, RANGE + 0.002, -0.09)))));
    shapes.push(ware::onions(v3(-0.33, RAIL[0], RAIL[1])));
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
        card: Card::standing(Place::at(v3(-0.18, TABLE, 0.3)).looking_to(EYE)),
        chart: Chart::standing(Place::at(v3(-0.74, WORKTOP, 0.12)).looking_to(EYE)),
        trap: Trap::standing(Place::at(v3(0.06, TABLE, 0.42)).looking_to(EYE)),
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
