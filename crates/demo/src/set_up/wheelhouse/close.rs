//! The second shot: over the radar to the mate, who looks up from it; the cook waits behind.

use super::panel::Panel;
use super::radar::{Case, Screen};
use super::room::{self, BEHIND, FORWARD, RIM};
use super::scene;
use super::signal::Signal;
use super::sources::{self, RADAR, RED, TUBES};
use crate::body::{Card, Chart, Chest, Crew, Garment, Grip, Head, Herbs, Mug, Pan, Pose, Rope, Torso, Trap, WARM_WOOD};
use crate::material::METAMER;
use crate::set_up::marks::{darks, grey, patches, square};
use crate::set_up::{MarkKind, Stage};
use crate::space::{Place, Vec3, View, v3};
use crate::trace::{Lamp, Shape};

const EYE: Vec3 = v3(0.0, 1.40, 1.9);

/// The locker behind the mate.
fn locker() -> Place {
    Place::at(v3(0.10, 0.70, -0.88)).facing(-0.1)
}

/// Where the cook holds the mug.
const MUG: Vec3 = v3(-1.22, 1.30, -0.97);

/// A place that looks to the camera.
fn towards_eye(x: f64, y: f64, z: f64) -> Place {
    Place::at(v3(x, y, z)).looking_to(EYE)
}

/// The shot, ready to be traced.
pub fn stage() -> Stage {
    let mate = Place::at(v3(-0.41, 1.44, -0.18)).facing(0.06);
    let cook = Place::at(v3(-1.15, 1.42, -1.26)).facing(0.5);
    let radar = Place::at(v3(-0.99, 1.02, 0.24)).facing(0.75);
    let chest = Chest::standing(towards_eye(-0.01, 0.80, 0.40), v3(0.50, 0.30, 0.22), WARM_WOOD);
    let bench = Chest::standing(locker(), v3(0.80, 0.62, 0.36), WARM_WOOD);
    let (card, paint) =
        (Card::standing(towards_eye(0.085, 1.10, 0.46)), Panel::standing(towards_eye(-0.045, 1.10, 0.47), METAMER));
    let chart = Chart::standing(towards_eye(0.19, 1.32, -0.78));
    let trap = Trap::standing(towards_eye(-0.155, 1.10, 0.33));
    let herbs = Herbs::standing(Place::at(v3(-0.19, 1.32, -0.99)).facing(-0.1));
    let mug = Mug::standing(Place::at(MUG).facing(-0.4));
    let pan_at = Place::at(v3(-0.36, 1.60, BEHIND + 0.12));
    let pan = Pan::hanging(pan_at);
    let rope = Rope::hanging(Place::at(v3(FORWARD + 0.12, 1.92, -0.52)).facing(0.95), 0.0);
    let torso = Torso::new(mate, Garment::OilskinAndVest).with_hand(-1.0, RIM);
    let tea = Grip::Round { at: MUG + v3(0.0, 0.045, 0.0), along: v3(0.0, 1.0, 0.0), radius: 0.042 };
    let jacket = Torso::new(cook, Garment::Jacket).with_hand(-1.0, tea);
    let (mates, cooks) = (
        Head::new(Crew::Mate, mate, Pose { nod: 0.06, ..Pose::default() }),
        Head::new(Crew::Cook, cook, Pose { nod: 0.02, ..Pose::default() }),
    );
    let red = Signal::on(Place::at(v3(FORWARD + 0.04, 2.1, -1.1)).facing(1.57));
    let screen = Screen::of(radar);
    let marks = [
        vec![grey("grey card", &card), square("metameric paint", paint.face(), Panel::FACE_HALF, MarkKind::Surface)],
        darks(&card),
        patches(&chart),
        vec![
            square("mate, key side", mates.cheek(-1.0), 0.006, MarkKind::Skin),
            square("mate, fill side", mates.cheek(1.0), 0.006, MarkKind::Skin),
            square("cook, key side", cooks.cheek(-1.0), 0.006, MarkKind::Skin),
            square("cook, fill side", cooks.cheek(1.0), 0.006, MarkKind::Skin),
            square("herbs", herbs.leaves(), 0.01, MarkKind::Foliage),
            square("enamel mug", MUG + v3(0.034, 0.052, 0.024), 0.005, MarkKind::Surface),
            square("rope", rope.tan(), 0.004, MarkKind::Surface),
            square("oilskin", v3(-0.22, 1.338, -0.13), 0.012, MarkKind::Surface),
            square("life vest", torso.chest(-1.0), 0.015, MarkKind::Surface),
            square("wood", locker().outward(v3(-0.2, 0.52, 0.18)), 0.01, MarkKind::Surface),
            square("copper pan", pan_at.outward(v3(0.02, 0.04, 0.02)), 0.01, MarkKind::Surface),
            square("light trap", trap.mouth(), Trap::MOUTH_HALF, MarkKind::Surface),
        ],
    ]
    .concat();
    let lamps = vec![
        Lamp::far(TUBES, v3(-0.42, 0.66, 0.62), 0.15, 1.35),
        Lamp::dome(TUBES, v3(0.5, 0.35, 0.75), 0.16),
        Lamp::dome(TUBES, v3(0.0, -1.0, 0.2), 0.025),
        Lamp::near(TUBES, v3(-0.62, 2.1, -0.95), 0.35, 0.4),
        Lamp::near(TUBES, v3(0.86, 2.1, -0.95), 0.35, 0.5),
        Lamp::near(RADAR, screen.before(), 0.1, 0.016),
        Lamp::near(RED, red.glass(), 0.03, 0.006),
    ];
    let mut shapes = room::built(EYE);
    let own: Vec<Box<dyn Shape>> = vec![
        Box::new(Case::standing(radar)),
        Box::new(screen),
        Box::new(red),
        Box::new(chest),
        Box::new(bench),
        Box::new(card),
        Box::new(paint),
        Box::new(chart),
        Box::new(trap),
        Box::new(herbs),
        Box::new(mug),
        Box::new(pan),
        Box::new(rope),
        Box::new(torso),
        Box::new(mates),
        Box::new(jacket),
        Box::new(cooks),
    ];
    shapes.extend(own);
    Stage {
        scene: scene(shapes, lamps),
        view: View::new(EYE, v3(-0.57, 1.37, 0.0), 29.0),
        sources: sources::all(),
        levels: sources::levels,
        marks,
    }
}
