use frame::Size;

use crate::light::Light;
use crate::set_up::{MarkKind, stage};
use crate::trace::{Part, Plate, Window};

const SHOTS: [&str; 3] = ["galley_010", "galley_010b", "galley_020"];
const SIZE: Size = Size { width: 960, height: 540 };

/// What the pixel at a mark's middle is made of.
fn at(stage: &crate::set_up::Stage, place: crate::space::Vec3) -> Vec<Part> {
    let half = f64::from(SIZE.height) / 2.0;
    let [x, y] = stage.view.place(place).unwrap();
    let window =
        Window { x: (f64::from(SIZE.width) / 2.0 + x * half) as u32, y: (half - y * half) as u32, width: 1, height: 1 };
    assert!(window.x < SIZE.width && window.y < SIZE.height, "out of frame: {window:?}");
    Plate::of(&stage.scene, &stage.view, SIZE, window, 0.0).pixel(0).to_vec()
}

#[test]
fn marks_show_what_they_name() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        for mark in &stage.marks {
            let parts = at(&stage, mark.place);
            let light: Vec<f64> = (0..2)
                .map(|source| {
                    parts.iter().filter(|part| part.source == source).map(|part| f64::from(part.weight)).sum()
                })
                .collect();
            let main = parts.iter().max_by(|a, b| a.weight.total_cmp(&b.weight));
            let name = main.map_or("none", |part| crate::material::MATERIALS[part.material as usize].0);
            if mark.kind == MarkKind::DarkGrey || matches!(mark.kind, MarkKind::Patch(p) if p % 5 != 0) {
                continue;
            }
            println!("{shot} {}: {name} {light:.3?}", mark.name);
        }
    }
}

#[test]
fn what_moves_is_a_small_part() {
    for shot in SHOTS {
        let stage = stage(shot).unwrap();
        let windows = Plate::moving(&stage.scene, &stage.view, SIZE);
        let share: f64 = windows.iter().map(|window| f64::from(window.width * window.height)).sum::<f64>()
            / f64::from(SIZE.width * SIZE.height);
        println!("{shot} {share:.4} {windows:?}");
        assert!(share > 0.0 && share < 0.065, "{shot}: {share}");
    }
}
