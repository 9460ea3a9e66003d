//! The first shot: both of them across the chart table.

use super::panel::Panel;
use super::radar::{Case, Screen};
use super::room::{self, BEHIND, FORWARD, RIM};
use super::scene;
use super::sheet::Sheet;
use super::signal::Signal;
use super::sources::{self, RADAR, RED, TUBES};
use crate::body::{
    Card, Chart, Cord, Crew, Garment, Gauge, Grip, Head, Herbs, Mug, Pan, Planks, Pose, Roll, Rope, Torso, Trap, Vest,
    WARM_WOOD,
};
use crate::material::METAMER;
use crate::set_up::marks::{darks, grey, patches, square};
use crate::set_up::{MarkKind, Stage};
use crate::space::{Bounds, Place, Vec3, View, v3};
use crate::trace::{Lamp, Shape};

const EYE: Vec3 = v3(0.22, 1.5, 2.9);
/// Half the width of a mark on a cheek, which is seen aslant.
const CHEEK: f64 = 0.0045;
/// Height of the chart table.
const TABLE: f64 = 0.94;

/// Where the cook holds the mug.
const MUG: Vec3 = v3(0.10, 1.15, 0.0);

/// A place on the chart table that looks to the camera.
fn on(x: f64, z: f64) -> Place {
    Place::at(v3(x, TABLE, z)).looking_to(EYE)
}

/// The shot, ready to be traced.
pub fn stage() -> Stage {
    let mate = Place::at(v3(-0.45, 1.44, -0.18)).facing(0.02);
    let cook = Place::at(v3(0.43, 1.40, -0.28)).facing(-0.28);
    let radar = Place::at(v3(-0.99, 1.02, 0.24)).facing(0.75);
    let (card, chart) =
        (Card::standing(on(0.27, 0.62)), Chart::standing(Place::at(v3(0.82, TABLE, 0.37)).facing(-0.08)));
    let paint = Panel::standing(on(0.405, 0.63), METAMER);
    let (trap, herbs) = (Trap::standing(on(0.03, 0.42)), Herbs::standing(Place::at(v3(0.17, 1.22, BEHIND + 0.14))));
    let mug = Mug::standing(Place::at(MUG).facing(-2.5));
    let pan_at = Place::at(v3(0.98, 1.46, BEHIND + 0.08));
    let pan = Pan::hanging(pan_at);
    let rope = Rope::hanging(Place::at(v3(FORWARD + 0.11, 1.86, BEHIND + 0.16)).facing(0.5), 0.0);
    let vest = Vest::hanging(Place::at(v3(1.40, 1.84, BEHIND + 0.11)));
    let torso = Torso::new(mate, Garment::Oilskin).with_hand(-1.0, RIM);
    let tea = Grip::Round { at: MUG + v3(0.0, 0.045, 0.0), along: v3(0.0, 1.0, 0.0), radius: 0.042 };
    let jacket = Torso::new(cook, Garment::Jacket).with_hand(-1.0, tea);
    let (mates, cooks) = (
        Head::new(Crew::Mate, mate, Pose { nod: 0.1, turns: 0.1, ..Pose::default() }),
        Head::new(Crew::Cook, cook, Pose { nod: 0.05, ..Pose::default() }),
    );
    let red = Signal::on(Place::at(v3(FORWARD + 0.04, 2.1, -1.1)).facing(1.57));
    let screen = Screen::of(radar);
    let table = Bounds { least: v3(-0.08, TABLE - 0.04, 0.2), most: v3(1.7, TABLE, 1.2) };
    let marks = [
        vec![grey("grey card", &card), square("metameric paint", paint.face(), Panel::FACE_HALF, MarkKind::Surface)],
        darks(&card),
        patches(&chart),
        vec![
            square("mate, key side", mates.cheek(-1.0), CHEEK, MarkKind::Skin),
            square("mate, fill side", mates.cheek(1.0), CHEEK, MarkKind::Skin),
            square("cook, key side", cooks.cheek(-1.0), CHEEK, MarkKind::Skin),
            square("cook, fill side", cooks.cheek(1.0), CHEEK, MarkKind::Skin),
            square("herbs", herbs.leaves(), 0.01, MarkKind::Foliage),
            square("enamel mug", MUG + v3(0.026, 0.05, 0.031), 0.006, MarkKind::Surface),
            square("oilskin", torso.chest(1.0), 0.02, MarkKind::Surface),
            square("rope", rope.tan(), 0.004, MarkKind::Surface),
            square("life vest", vest.orange(), 0.02, MarkKind::Surface),
            square("wood", v3(0.86, TABLE, 0.62), 0.01, MarkKind::Surface),
            square("copper pan", pan_at.outward(v3(0.02, 0.03, 0.02)), 0.01, MarkKind::Surface),
            square("light trap", trap.mouth(), Trap::MOUTH_HALF, MarkKind::Surface),
        ],
    ]
    .concat();
    let lamps = vec![
        Lamp::far(TUBES, v3(-0.52, 0.55, 0.62), 0.22, 1.3),
        Lamp::dome(TUBES, v3(0.5, 0.35, 0.75), 0.12),
        Lamp::dome(TUBES, v3(0.0, -1.0, 0.2), 0.025),
        Lamp::near(TUBES, v3(-0.62, 2.1, -0.95), 0.35, 0.4),
        Lamp::near(TUBES, v3(0.86, 2.1, -0.95), 0.35, 0.5),
        Lamp::near(RADAR, screen.before(), 0.1, 0.012),
        Lamp::near(RED, red.glass(), 0.03, 0.006),
    ];
    let mut shapes = room::built(EYE);
    let own: Vec<Box<dyn Shape>> = vec![
        Box::new(Case::standing(radar)),
        Box::new(screen),
        Box::new(red),
        Box::new(Planks::new(table, 0.16).of(WARM_WOOD)),
        Box::new(Sheet::lying(Place::at(v3(0.40, TABLE, 0.78)).facing(0.25))),
        Box::new(card),
        Box::new(paint),
        Box::new(chart),
        Box::new(trap),
        Box::new(herbs),
        Box::new(mug),
        Box::new(pan),
        Box::new(rope),
        Box::new(vest),
        Box::new(Cord::lying(Place::at(v3(0.54, TABLE, 0.40)))),
        Box::new(Roll::lying(Place::at(v3(-0.38, 1.22, BEHIND + 0.10)))),
        Box::new(Gauge::pressure(Place::at(v3(0.88, 2.06, BEHIND + 0.005)), 0.058)),
        Box::new(Gauge::clock(Place::at(v3(1.12, 2.07, BEHIND + 0.005)), 0.08, 3.2)),
        Box::new(torso),
        Box::new(mates),
        Box::new(jacket),
        Box::new(cooks),
    ];
    shapes.extend(own);
    Stage {
        scene: scene(shapes, lamps),
        view: View::new(EYE, v3(-0.02, 1.41, 0.0), 27.0),
        sources: sources::all(),
        levels: sources::levels,
        marks,
    }
}
