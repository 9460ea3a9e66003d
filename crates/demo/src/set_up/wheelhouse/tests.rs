use std::sync::LazyLock;

use frame::Size;
use proptest::prelude::*;

use super::console::Console;
use super::glass::Pane;
use super::helm::Helm;
use super::panel::Panel;
use super::radar::{Case, Screen};
use super::sheet::Sheet;
use super::signal::Signal;
use super::sources::TUBES;
use super::tubes::Tubes;
use crate::material::{
    CARD, COPPER, ENAMEL, GREY_M4, GREY_M5, GREY_M6, METAMER, Material, OILSKIN, SKIN_DEEP, SKIN_LIGHT, VEST, VOID,
};
use crate::set_up::{Mark, MarkKind, Stage, stage};
use crate::space::{Bounds, Place, v3};
use crate::trace::trials::{Bodies, boxes_hold, shares, steps_do_not_leap};
use crate::trace::{Part, Plate, Window};

const SHOTS: [&str; 2] = ["wheelhouse_010", "wheelhouse_020"];
const SIZE: Size = Size { width: 1920, height: 1080 };

/// What the pixels at a mark's corners and middle are made of; none outside of the picture.
fn seen(stage: &Stage, mark: &Mark) -> Vec<Vec<Part>> {
    let half = f64::from(SIZE.height) / 2.0;
    let [x, y] = stage.view.place(mark.place).unwrap();
    // How many pixels a metre is where the mark is, however the mark is turned.
    let up = stage.view.place(mark.place + v3(0.0, 0.01, 0.0)).unwrap();
    let scale = (up[0] - x).hypot(up[1] - y) * 100.0 * half;
    let (middle, reach) =
        ([f64::from(SIZE.width) / 2.0 + x * half, half - y * half], mark.half.map(|half| half * scale));
    [[0.0, 0.0], [-0.9, -0.9], [0.9, -0.9], [-0.9, 0.9], [0.9, 0.9]]
        .into_iter()
        .map(|[a, b]| {
            let (x, y) = ((middle[0] + a * reach[0]) as u32, (middle[1] + b * reach[1]) as u32);
            assert!(x < SIZE.width && y < SIZE.height, "{} is out of the picture", mark.name);
            Plate::of(&stage.scene, &stage.view, SIZE, Window { x, y, width: 1, height: 1 }, 0.0).pixel(0).to_vec()
        })
        .collect()
}

/// What a mark should show, where that is one material.
fn expected(mark: &Mark) -> Option<Material> {
    Some(match (mark.kind, mark.name) {
        (MarkKind::Card, _) => CARD,
        (MarkKind::Patch(index), _) => Material::patch(index),
        (MarkKind::DarkGrey, name) => [GREY_M4, GREY_M5, GREY_M6][name.bytes().find(u8::is_ascii_digit)? as usize - 52],
        (MarkKind::Skin, name) => {
            if name.starts_with("mate") {
                SKIN_LIGHT
            } else {
                SKIN_DEEP
            }
        }
        (_, "metameric paint") => METAMER,
        (_, "copper pan") => COPPER,
        (_, "enamel mug") => ENAMEL,
        (_, "oilskin") => OILSKIN,
        (_, "life vest") => VEST,
        (_, "light trap") => VOID,
        _ => return None,
    })
}

#[test]
fn marks_show_what_they_name() {
    for (shot, mark, pixel) in SHOTS.into_iter().flat_map(|shot| {
        let stage = stage(shot).unwrap();
        let pixels: Vec<_> = stage.marks.iter().map(|&mark| (mark, seen(&stage, &mark))).collect();
        pixels.into_iter().flat_map(move |(mark, pixels)| pixels.into_iter().map(move |pixel| (shot, mark, pixel)))
    }) {
        let Some(material) = expected(&mark) else { continue };
        let all: f64 = pixel.iter().map(|part| f64::from(part.weight)).sum();
        let own = pixel.iter().filter(|part| usize::from(part.material) == material.index());
        let share = own.map(|part| f64::from(part.weight)).sum::<f64>() / all;
        // Cards and charts lie flat and mirror nothing; elsewhere gloss is a part of what is seen.
        let least = match mark.kind {
            MarkKind::Card | MarkKind::Patch(_) | MarkKind::DarkGrey => 0.9999,
            _ if mark.name == "metameric paint" => 0.9999,
            _ => 0.6,
        };
        assert!(all == 0.0 || share > least, "{shot}: {} shows {share:.4} of it: {pixel:?}", mark.name);
    }
}

#[test]
fn the_card_and_the_paint_see_the_tubes_alone_and_evenly() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        for mark in &stage.marks {
            if !matches!(mark.kind, MarkKind::Card | MarkKind::Patch(_) | MarkKind::DarkGrey) {
                continue;
            }
            let pixels = seen(&stage, mark);
            let light = |pixel: &[Part], tubes: bool| -> f64 {
                let parts = pixel.iter().filter(|part| (usize::from(part.source) == TUBES) == tubes);
                parts.map(|part| f64::from(part.weight)).sum()
            };
            let (least, most) = pixels
                .iter()
                .map(|pixel| light(pixel, true))
                .fold((f64::MAX, 0.0_f64), |(least, most), light| (least.min(light), most.max(light)));
            assert!(most / least < 1.02, "{shot}: {} from {least} to {most}: {pixels:?}", mark.name);
            let other = light(&pixels[0], false) / light(&pixels[0], true);
            let most = if mark.kind == MarkKind::Card { 1e-5 } else { 2e-3 };
            assert!(other < most, "{shot}: {} has {other} of another light", mark.name);
            if mark.kind == MarkKind::Card {
                assert!((0.9..1.1).contains(&light(&pixels[0], true)), "{shot}: {}", light(&pixels[0], true));
            }
        }
    }
}

#[test]
fn little_of_the_picture_moves() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        let windows = Plate::moving(&stage.scene, &stage.view, SIZE);
        let pixels: u32 = windows.iter().map(|window| window.width * window.height).sum();
        let share = f64::from(pixels) / f64::from(SIZE.width * SIZE.height);
        assert!(share > 0.02 && share < 0.075, "{shot}: {share}");
    }
}

static BODIES: LazyLock<Bodies> = LazyLock::new(|| {
    let place = Place::at(v3(0.2, 0.9, -0.1)).facing(0.35);
    let pane = Bounds { least: v3(-0.5, 0.0, -0.01), most: v3(0.5, 0.6, 0.01) };
    vec![
        ("console", Box::new(Console::new(Bounds { least: v3(-0.4, 0.3, -1.0), most: v3(0.2, 1.1, 0.6) }))),
        ("helm", Box::new(Helm::on(place))),
        ("pane", Box::new(Pane::new(pane, v3(0.0, 1.0, 3.0)))),
        ("panel", Box::new(Panel::standing(place, METAMER))),
        ("radar", Box::new(Case::standing(place))),
        ("screen", Box::new(Screen::of(place))),
        ("sheet", Box::new(Sheet::lying(place))),
        ("signal", Box::new(Signal::on(place))),
        ("tubes", Box::new(Tubes::under(v3(0.1, 2.0, 0.3)))),
    ]
});

proptest! {
    #![proptest_config(ProptestConfig::with_cases(200))]

    #[test]
    fn steps_by_the_distance_never_leap_into_a_body(from in shares(), to in shares()) {
        // A millimetre is less than a pixel of either shot.
        steps_do_not_leap(&BODIES, [from, to], 0.0, 1e-3)?;
    }

    #[test]
    fn boxes_hold_their_bodies(at in [0.0..1.0, 0.0..1.0]) {
        boxes_hold(&BODIES, at, 0.0)?;
    }
}
