use frame::Size;

use super::{LAMP, SKY, stage};
use crate::material::{
    COPPER, ENAMEL, LEAF, LEAF_BLUE, LEAF_YOUNG, Material, OAK, OAK_DARK, OILSKIN, PINE, PINE_DARK, ROPE, SKIN_DEEP,
    SKIN_LIGHT, VEST, VOID, WHITE,
};
use crate::set_up::{Level, Mark, MarkKind, Stage};
use crate::trace::{Plate, Window};

const SHOTS: [&str; 3] = ["010", "020", "030"];
const SIZE: Size = Size { width: 1920, height: 1080 };

/// Where a mark lies in the picture, half as wide and high as it is.
fn window(stage: &Stage, mark: &Mark) -> Window {
    let half = f64::from(SIZE.height) / 2.0;
    let [x, y] = stage.view.place(mark.place).unwrap();
    let [across, up] = stage.view.span(mark.place, mark.half).unwrap();
    let (x, y) = (f64::from(SIZE.width) / 2.0 + x * half, half - y * half);
    let (wide, high) = ((across * half * 0.5).max(0.5), (up * half * 0.5).max(0.5));
    let (left, upper) = ((x - wide).max(0.0) as u32, (y - high).max(0.0) as u32);
    let (width, height) = ((2.0 * wide).ceil() as u32, (2.0 * high).ceil() as u32);
    assert!(left + width <= SIZE.width && upper + height <= SIZE.height, "{} is out of the picture", mark.name);
    Window { x: left, y: upper, width, height }
}

#[test]
fn card_chart_and_dark_greys_see_the_key_evenly_and_nothing_else() {
    for number in SHOTS {
        let stage = stage(number).unwrap();
        let flat = |mark: &&Mark| matches!(mark.kind, MarkKind::Card | MarkKind::Patch(_) | MarkKind::DarkGrey);
        let (mut first, mut seen) = (None, 0);
        for mark in stage.marks.iter().filter(flat) {
            let plate = Plate::of(&stage.scene, &stage.view, SIZE, window(&stage, mark), 0.0);
            for at in 0..plate.len() {
                let [part] = plate.pixel(at) else {
                    panic!("{number}: {} is not of one paint in one light", mark.name)
                };
                let first = *first.get_or_insert(part.weight);
                assert_eq!(part.source as usize, SKY, "{number}: {}", mark.name);
                assert!((part.weight / first - 1.0).abs() < 0.002, "{number}: {}: {} {first}", mark.name, part.weight);
            }
            seen += 1;
        }
        assert_eq!(seen, 28, "{number}");
        // Well exposed before the film makes it exactly so.
        assert!((first.unwrap() - 1.0).abs() < 0.15, "{number}: {first:?}");
    }
}

/// The material that sends most from a window, its neighbours mirrored in it left out.
fn main_material(plate: &Plate) -> Option<usize> {
    let mut weights = [0.0_f32; 256];
    (0..plate.len()).flat_map(|at| plate.pixel(at)).for_each(|part| weights[part.material as usize] += part.weight);
    weights[WHITE.index()] = 0.0;
    (0..256).filter(|&at| weights[at] > 0.0).max_by(|&a, &b| weights[a].total_cmp(&weights[b]))
}

#[test]
fn every_other_mark_shows_what_it_is_named_for() {
    let woods = [OAK, OAK_DARK, PINE, PINE_DARK];
    let leaves = [LEAF, LEAF_YOUNG, LEAF_BLUE];
    let wanted: [(&str, &[Material]); 12] = [
        ("mate, key side", &[SKIN_LIGHT]),
        ("mate, fill side", &[SKIN_LIGHT]),
        ("cook, key side", &[SKIN_DEEP]),
        ("cook, fill side", &[SKIN_DEEP]),
        ("herbs", &leaves),
        ("enamel mug", &[ENAMEL]),
        ("oilskin", &[OILSKIN]),
        ("rope", &[ROPE]),
        ("life vest", &[VEST]),
        ("wood", &woods),
        ("copper pan", &[COPPER]),
        ("light trap", &[VOID]),
    ];
    for number in SHOTS {
        let stage = stage(number).unwrap();
        for (name, materials) in wanted {
            let mark = stage.marks.iter().find(|mark| mark.name == name).expect(name);
            let plate = Plate::of(&stage.scene, &stage.view, SIZE, window(&stage, mark), 0.0);
            let main = main_material(&plate);
            assert!(materials.iter().any(|material| main == Some(material.index())), "{number}: {name}: {main:?}");
        }
    }
}

#[test]
fn what_moves_is_a_small_part_of_the_picture() {
    for number in SHOTS {
        let stage = stage(number).unwrap();
        let windows = Plate::moving(&stage.scene, &stage.view, SIZE);
        let share = windows.iter().map(|window| f64::from(window.width * window.height)).sum::<f64>()
            / f64::from(SIZE.width * SIZE.height);
        assert!(share > 0.0 && share < 0.065, "{number}: {share}");
    }
}

#[test]
fn only_the_last_shot_drifts_and_it_ends_where_it_is_said() {
    for number in ["010", "020"] {
        assert!((stage(number).unwrap().levels)(1.0).iter().all(|level| *level == Level::FULL));
    }
    let late = stage("030").unwrap();
    let (begin, end) = ((late.levels)(0.0), (late.levels)(47.0 / 24.0));
    assert_eq!(begin, vec![Level::FULL; late.sources.len()]);
    assert!((end[SKY].level.log2() + 0.35).abs() < 1e-12 && end[SKY].gone == 1.0);
    assert_eq!(end[LAMP].level, end[SKY].level);
}
