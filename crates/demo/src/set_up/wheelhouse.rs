//! The wheelhouse under its tubes: a first sketch.

use super::{Level, Source, Stage};
use crate::body::{Card, Chart, Crew, Garment, Head, Herbs, Mug, Pan, Planks, Pose, Rope, Slab, Torso, Trap, Vest};
use crate::light::Light;
use crate::material::{CREAM, WHITE};
use crate::space::{Bounds, Place, View, v3};
use crate::trace::{Glow, Lamp, LampKind, Scene, Shape};

/// The stage of a shot of this set-up, by its number.
pub fn stage(_number: &str) -> Option<Stage> {
    let table = Bounds { least: v3(-1.1, 0.86, -0.45), most: v3(1.1, 0.9, 0.35) };
    let wall = Bounds { least: v3(-3.0, -0.5, -0.8), most: v3(3.0, 3.0, -0.7) };
    let on = |x: f64, z: f64| Place::at(v3(x, 0.9, z));
    let shapes: Vec<Box<dyn Shape>> = vec![
        Box::new(Slab::new(wall, 0.0, CREAM).behind()),
        Box::new(Planks::new(table, 0.12)),
        Box::new(Mug::standing(on(-0.15, 0.1))),
        Box::new(Card::standing(on(0.05, -0.05))),
        Box::new(Chart::standing(on(0.4, -0.1))),
        Box::new(Trap::standing(on(0.72, 0.05))),
        Box::new(Herbs::standing(on(-0.75, 0.0))),
        Box::new(Pan::hanging(Place::at(v3(-0.75, 1.5, -0.62)))),
        Box::new(Rope::hanging(Place::at(v3(0.35, 1.75, -0.64)), 0.04)),
        Box::new(Vest::hanging(Place::at(v3(0.8, 1.75, -0.6)))),
        Box::new(Torso::new(Place::at(v3(-0.35, 1.42, -0.4)).facing(0.4), Garment::Oilskin)),
        Box::new(Head::new(Crew::Mate, Place::at(v3(-0.35, 1.42, -0.4)).facing(0.4), Pose::default())),
        Box::new(Torso::new(Place::at(v3(0.05, 1.38, -0.45)).facing(-0.4), Garment::Jacket)),
        Box::new(Head::new(Crew::Cook, Place::at(v3(0.05, 1.38, -0.45)).facing(-0.4), Pose::default())),
    ];
    Some(Stage {
        scene: Scene {
            shapes,
            lamps: vec![
                Lamp { source: 0, kind: LampKind::Far { towards: v3(-0.6, 0.6, 0.6).unit(), wide: 0.15 }, level: 1.0 },
                Lamp { source: 0, kind: LampKind::Dome { towards: v3(0.0, 1.0, 0.0) }, level: 0.15 },
            ],
            backdrop: Box::new(|_, _| vec![Glow { source: 0, level: 0.01 }]),
            white: WHITE,
            shadow_reach: 0.5,
        },
        view: View::new(v3(0.0, 1.45, 2.6), v3(0.0, 1.28, 0.0), 30.0),
        sources: vec![Source { name: "key", light: Light::Tubes, later: None, relit: true }],
        levels: |_| vec![Level::FULL],
        marks: Vec::new(),
    })
}
