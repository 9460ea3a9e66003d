//! Probes by what comes out of them: the actions, then what is kept beside the project.

use std::cell::Cell;

use egui::{Key, Modifiers, Rect, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use graph::Shot;
use session::Project;
use session::beside::Beside;

use super::figures::{delta_e, levels, stops, white};
use crate::pictures::Pictures;
use crate::state::{Action, BeforeAfter, Bench, OfTile, OnProbes, Read, Sheet};

/// A picture of 100 by 50 pixels, four points each, in the corner of the window.
const PICTURE: Rect = Rect { min: pos2(0.0, 0.0), max: pos2(400.0, 200.0) };

fn bench() -> (tempfile::TempDir, Bench) {
    let mut document = graph::chain::parse("exposure").unwrap();
    document.shots.insert("a".into(), Shot::default());
    let folder = tempfile::tempdir().unwrap();
    let written = session::file::Written { document, ..Default::default() };
    let project = Project::new(&folder.path().join("p.greywright"), written).unwrap();
    (folder, Bench::of(project))
}

fn harness(bench: Bench) -> Harness<'static, (Bench, Vec<Action>)> {
    let dressed = Cell::new(false);
    Harness::builder().with_size([800.0, 400.0]).build_ui_state(
        move |ui, (bench, all): &mut (Bench, Vec<Action>)| {
            if !dressed.replace(true) {
                // Faces are there from the next pass on.
                crate::look::dress(ui.ctx());
                return;
            }
            let mut actions = Vec::new();
            crate::commands::keys(ui, bench, &mut actions);
            super::on_picture(ui, bench, (0, "a"), (PICTURE, PICTURE, egui::Vec2::splat(4.0)), &mut actions);
            let below = Rect::from_min_size(pos2(0.0, 220.0), vec2(800.0, 180.0));
            let mut ui = ui.new_child(egui::UiBuilder::new().max_rect(below));
            super::show(&mut ui, bench, &Pictures::none(), &mut actions);
            for action in actions {
                all.push(action.clone());
                bench.apply(action);
            }
        },
        (bench, Vec::new()),
    )
}

fn placed(harness: &Harness<'_, (Bench, Vec<Action>)>) -> Vec<[f64; 4]> {
    let of = |action: &Action| match action {
        Action::Probes(OnProbes::Place(area)) => Some(*area),
        _ => None,
    };
    harness.state().1.iter().filter_map(of).collect()
}

#[test]
fn a_press_places_a_point_and_a_drag_an_area() {
    let (folder, bench) = bench();
    let mut harness = harness(bench);
    harness.key_press(Key::P);
    harness.run();
    harness.drag_at(pos2(42.0, 81.0));
    harness.step();
    harness.drop_at(pos2(42.0, 81.0));
    harness.run();
    assert_eq!(placed(&harness), [[10.0, 20.0, 1.0, 1.0]]);
    assert_eq!(harness.state().0.probes.cross, None);
    harness.key_press(Key::P);
    harness.run();
    harness.drag_at(pos2(80.0, 120.0));
    harness.step();
    harness.hover_at(pos2(60.0, 90.0));
    harness.step();
    harness.hover_at(pos2(41.0, 81.0));
    harness.step();
    harness.drop_at(pos2(41.0, 81.0));
    harness.run();
    assert_eq!(placed(&harness)[1..], [[10.0, 20.0, 11.0, 11.0]]);
    let kept = Beside::read(&folder.path().join("p.greywright")).unwrap();
    let names: Vec<&str> = kept.probes["a"].iter().map(|probe| probe.name.as_str()).collect();
    assert_eq!(names, ["probe 1", "probe 2"]);
}

#[test]
fn keys_place_a_point_and_an_area() {
    let (_folder, bench) = bench();
    let mut harness = harness(bench);
    let mut press = |keys: &[(Modifiers, Key)]| {
        for (modifiers, key) in keys {
            harness.key_press_modifiers(*modifiers, *key);
            harness.run();
        }
        placed(&harness)
    };
    let none = Modifiers::NONE;
    // From the middle, 50,25.
    press(&[(none, Key::P), (Modifiers::SHIFT, Key::ArrowLeft), (none, Key::ArrowDown), (none, Key::Enter)]);
    let two = press(&[(none, Key::P), (none, Key::Space), (none, Key::ArrowRight), (none, Key::Enter)]);
    assert_eq!(two, [[34.0, 26.0, 1.0, 1.0], [50.0, 25.0, 2.0, 1.0]]);
    // The edge holds, and Escape places nothing.
    let edge = press(&[(none, Key::P), (Modifiers::SHIFT, Key::ArrowUp), (Modifiers::SHIFT, Key::ArrowUp)]);
    assert_eq!(edge.len(), 2);
    assert_eq!(press(&[(none, Key::Escape), (none, Key::Enter)]).len(), 2);
}

#[test]
fn a_probe_is_named_and_taken_away() {
    let (folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([1.0, 2.0, 3.0, 4.0])));
    let mut harness = harness(bench);
    harness.run();
    harness.get_by_label("probe 1").click();
    harness.run();
    harness.key_press_modifiers(Modifiers::COMMAND, Key::A);
    harness.get_by_label("name of probe 1").type_text("card");
    harness.run();
    harness.key_press(Key::Enter);
    harness.run();
    let kept = || Beside::read(&folder.path().join("p.greywright")).unwrap().probes;
    let name = kept()["a"][0].name.clone();
    assert!(name.ends_with("card"), "{name}");
    harness.get_by_label(&format!("take {name} away")).click();
    harness.run();
    assert!(kept().is_empty());
}

#[test]
fn the_table_says_before_and_after() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([1.0, 2.0, 1.0, 1.0])));
    let before =
        Read { levels: [400.4, 391.0, 512.6], bits: Some(10), stops: Some(-0.004), white: None, delta_e: None };
    let after = Read { stops: Some(1.0), white: Some([12.34, -0.00042]), delta_e: Some(3.25), ..before };
    let probes = vec![BeforeAfter { before: Some(before), after: Some(after) }];
    bench.apply(Action::Probes(OnProbes::Read(0, OfTile { shot: "a".into(), probes, fault: None })));
    let mut harness = harness(bench);
    harness.run();
    for words in ["0.00", "+1.00", "+12.3 -0.0004", "3.2"] {
        assert!(harness.query_by_label(words).is_some(), "{words}");
    }
    assert_eq!(harness.query_all_by_label("400 391 513").count(), 2);
    let far = Read { white: Some([-168.44, -0.0012]), ..before };
    assert_eq!(white(&far), "-168 -0.0012", "it has the room of a small one");
    assert_eq!(
        [levels(&before), stops(&before), white(&before), delta_e(&before)],
        ["400 391 513", "0.00", "\u{2013}", "\u{2013}"]
    );
}

fn moved(harness: &Harness<'_, (Bench, Vec<Action>)>) -> [f64; 4] {
    harness.state().0.probes_of("a")[0].area
}

#[test]
fn arrows_move_a_placed_probe_and_give_it_a_size() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([10.0, 10.0, 1.0, 1.0])));
    let mut harness = harness(bench);
    harness.run_steps(3);
    harness.get_by_label("probe 1").focus();
    harness.run_steps(2);
    let press = |harness: &mut Harness<'_, (Bench, Vec<Action>)>, modifiers, key| {
        harness.key_press_modifiers(modifiers, key);
        harness.run_steps(2);
    };
    press(&mut harness, Modifiers::NONE, Key::ArrowRight);
    press(&mut harness, Modifiers::SHIFT, Key::ArrowDown);
    assert_eq!(harness.state().1.last(), Some(&Action::Probes(OnProbes::Move(0, [11.0, 20.0, 1.0, 1.0], true))));
    press(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::ArrowRight);
    press(&mut harness, Modifiers::COMMAND, Key::ArrowDown);
    assert_eq!(moved(&harness), [11.0, 20.0, 11.0, 2.0]);
    // Never beyond the left upper corner, never smaller than a pixel.
    for _ in 0..3 {
        press(&mut harness, Modifiers::SHIFT, Key::ArrowLeft);
        press(&mut harness, Modifiers::COMMAND | Modifiers::SHIFT, Key::ArrowUp);
    }
    assert_eq!(moved(&harness), [0.0, 20.0, 11.0, 1.0]);
    // The row still has the keys, and says what lies under it.
    press(&mut harness, Modifiers::NONE, Key::Slash);
    let probe = harness.state().0.probes_of("a")[0].clone();
    assert_eq!(probe.kind, session::beside::Kind::Grey);
    let kept = Beside::read(harness.state().0.project().unwrap().path()).unwrap();
    assert_eq!(kept.probes["a"], [probe]);
    harness.get_by_label("what lies under probe 1: grey card").click();
    harness.run_steps(2);
    assert_eq!(harness.state().0.probes_of("a")[0].kind, session::beside::Kind::Skin);
}

#[test]
fn a_probe_is_dragged_on_the_picture_and_kept_where_it_is_let_go() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Probes(OnProbes::Place([10.0, 10.0, 5.0, 5.0])));
    let mut harness = harness(bench);
    harness.run_steps(3);
    // Four points to a pixel; the probe's middle is at 50, 50.
    harness.drag_at(pos2(50.0, 50.0));
    harness.run_steps(2);
    for x in [60.0, 70.0, 90.0] {
        harness.hover_at(pos2(x, 42.0));
        harness.run_steps(2);
    }
    assert_eq!(moved(&harness), [20.0, 8.0, 5.0, 5.0]);
    let path = harness.state().0.project().unwrap().path().to_owned();
    assert_eq!(Beside::read(&path).unwrap().probes["a"][0].area, [10.0, 10.0, 5.0, 5.0], "under way, nothing is kept");
    harness.hover_at(pos2(4000.0, 42.0));
    harness.run_steps(2);
    harness.drop_at(pos2(4000.0, 42.0));
    harness.run_steps(2);
    assert_eq!(moved(&harness), [95.0, 8.0, 5.0, 5.0], "not beyond the picture");
    assert_eq!(Beside::read(&path).unwrap().probes["a"][0].area, [95.0, 8.0, 5.0, 5.0]);
}

#[test]
fn the_verdict_is_asked_for_beside_the_probes_and_ended_by_escape() {
    let (_folder, bench) = bench();
    let mut harness = harness(bench);
    harness.run_steps(3);
    harness.get_by_label("verdict").click();
    harness.run_steps(2);
    let running = harness.state().0.verdicts.running.clone().unwrap();
    assert_eq!(running.extent, session::verdict::Extent::All);
    assert_eq!(harness.state().0.sheet, Some(Sheet::Verdict));
    // Escape ends what is measured first, then leaves the sheet; M brings it again.
    for sheet in [Some(Sheet::Verdict), None] {
        harness.key_press(Key::Escape);
        harness.run_steps(2);
        let bench = &harness.state().0;
        assert_eq!((bench.verdicts.running.clone(), bench.sheet.clone()), (None, sheet));
    }
    harness.key_press_modifiers(Modifiers::SHIFT, Key::Q);
    harness.run_steps(2);
    assert_eq!(harness.state().0.sheet, Some(Sheet::Verdict));
    harness.key_press(Key::Escape);
    harness.key_press(Key::Escape);
    harness.run_steps(2);
    harness.key_press(Key::Q);
    harness.run_steps(2);
    let running = harness.state().0.verdicts.running.clone().unwrap();
    assert_eq!((running.extent, harness.state().0.sheet.clone()), (session::verdict::Extent::Tile, None));
}
