use colour::Encoding;
use frame::Size;

use super::window::{HALF, dawn};
use crate::camera::Camera;
use crate::light::Light;
use crate::material::{
    CARD, COPPER, ENAMEL, GREY_M4, GREY_M5, GREY_M6, Material, OILSKIN, ROPE, SKIN_DEEP, SKIN_LIGHT, VEST, VOID, WHITE,
    WOOD_WARM,
};
use crate::palette::palette;
use crate::set_up::{MarkKind, Stage, stage};
use crate::space::{Vec3, v3};
use crate::trace::{Part, Plate, Window};

const SHOTS: [&str; 3] = ["galley_010", "galley_010b", "galley_020"];
const SIZE: Size = Size { width: 960, height: 540 };

/// What the pixel that shows a place is made of.
fn at(stage: &Stage, place: Vec3) -> Vec<Part> {
    let half = f64::from(SIZE.height) / 2.0;
    let [x, y] = stage.view.place(place).unwrap();
    let (x, y) = ((f64::from(SIZE.width) / 2.0 + x * half) as u32, (half - y * half) as u32);
    assert!(x < SIZE.width && y < SIZE.height, "out of frame: {x} {y}");
    Plate::of(&stage.scene, &stage.view, SIZE, Window { x, y, width: 1, height: 1 }, 0.0).pixel(0).to_vec()
}

/// What a source brings to a place, where a perfect diffuser in full light is 1.
fn light(stage: &Stage, place: Vec3, source: u8) -> f64 {
    at(stage, place).iter().filter(|part| part.source == source).map(|part| f64::from(part.weight)).sum()
}

fn of_mark(stage: &Stage, name: &str) -> Vec3 {
    stage.marks.iter().find(|mark| mark.name == name).unwrap().place
}

/// What a mark should show; leaves are of several kinds.
fn wanted(name: &str, kind: MarkKind) -> Option<Material> {
    Some(match (name, kind) {
        (_, MarkKind::Card) => CARD,
        (_, MarkKind::Patch(index)) => Material::patch(index),
        (name, MarkKind::DarkGrey) => [GREY_M4, GREY_M5, GREY_M6][(name.as_bytes()[11] - b'4') as usize],
        (name, MarkKind::Skin) => {
            if name.starts_with("mate") {
                SKIN_LIGHT
            } else {
                SKIN_DEEP
            }
        }
        ("enamel mug", _) => ENAMEL,
        ("oilskin", _) => OILSKIN,
        ("rope", _) => ROPE,
        ("life vest", _) => VEST,
        ("wood", _) => WOOD_WARM,
        ("copper pan", _) => COPPER,
        ("light trap", _) => VOID,
        _ => return None,
    })
}

#[test]
fn marks_show_what_they_name() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        assert!(stage.marks.len() >= 38, "{shot}");
        for mark in &stage.marks {
            let parts = at(&stage, mark.place);
            let main = parts.iter().max_by(|a, b| a.weight.total_cmp(&b.weight)).expect(mark.name);
            if let Some(material) = wanted(mark.name, mark.kind) {
                assert_eq!(usize::from(main.material), material.index(), "{shot}: {}", mark.name);
            }
        }
    }
}

#[test]
fn card_and_chart_stand_evenly_in_the_key() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        let card = light(&stage, of_mark(&stage, "grey card"), 0);
        assert!((card - 1.0).abs() < 0.06, "{shot}: {card}");
        for mark in stage.marks.iter().filter(|mark| matches!(mark.kind, MarkKind::Patch(_) | MarkKind::DarkGrey)) {
            let here = light(&stage, mark.place, 0);
            assert!((here / card - 1.0).abs() < 0.12, "{shot}: {} {here} beside {card}", mark.name);
        }
    }
}

#[test]
fn one_card_is_in_each_light_and_one_across_their_edge() {
    let stage = stage("galley_010").unwrap();
    let [card, cold, edge] = ["grey card", "grey card, window", "grey card, edge"].map(|name| of_mark(&stage, name));
    assert!(light(&stage, card, 0) > 15.0 * light(&stage, card, 1));
    assert!(light(&stage, cold, 1) > 4.0 * light(&stage, cold, 0));
    let aside = v3(0.04, 0.0, 0.0);
    let [lit, shaded] = [edge - aside, edge + aside].map(|place| light(&stage, place, 0));
    assert!(lit > 0.8 && shaded < 0.2, "{lit} {shaded}");
}

#[test]
fn the_pane_clips_the_cameras_blue_alone() {
    // What the film takes the sensor to hold, and what a diffuser on the card reads.
    let (full, card) = (12.0, 1.0);
    let encoding = Encoding::named("LogC3", Some(800)).unwrap();
    let [red, green, blue] = palette(Camera::Main, &encoding, Light::Window)[WHITE.index()];
    let levels: Vec<f64> = (0..60)
        .flat_map(|row| (0..60).map(move |column| (row, column)))
        .map(|(row, column)| {
            dawn(v3((f64::from(column) / 29.5 - 1.0) * HALF, (f64::from(row) / 29.5 - 1.0) * HALF, 0.0)) / card
        })
        .collect();
    let share = levels.iter().filter(|level| *level * blue > full).count() as f64 / levels.len() as f64;
    let most = levels.iter().fold(0.0_f64, |most, level| most.max(*level));
    assert!(share > 0.12 && share < 0.7, "{share}: {red} {green} {blue}, at the most {most}");
    assert!(most * red < 0.96 * full && most * green < 0.96 * full, "{red} {green} {blue}, at the most {most}");
}

#[test]
fn what_moves_is_a_small_part() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        let windows = Plate::moving(&stage.scene, &stage.view, SIZE);
        let moving: u32 = windows.iter().map(|window| window.width * window.height).sum();
        let share = f64::from(moving) / f64::from(SIZE.width * SIZE.height);
        assert!(share > 0.01 && share < 0.06, "{shot}: {share}");
    }
}
