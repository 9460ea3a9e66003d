//! The table by what comes out of it: first the actions, then the document after them.

use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use graph::{Document, Edit, LayerAt, Numbers, SetUp, Shot, State};
use session::Project;

use super::{copy, pick};
use crate::pictures::Pictures;
use crate::state::{Action, Bench, OnTable, Order, Touched};

/// Four shots in two set-ups; a white in each, one set-up with an exposure of its own.
fn document() -> Document {
    let mut document = graph::chain::parse("exposure | white-balance").unwrap();
    let edits = |document: &mut Document, edits: Vec<Edit>| document.apply(&Edit::Many(edits)).unwrap();
    document.set_ups.insert("deck".into(), SetUp::default());
    document.set_ups.insert("galley".into(), SetUp::default());
    for (name, set_up) in [("a", "galley"), ("b", "deck"), ("c", "galley"), ("d", "deck")] {
        let shot = Shot { media: format!("{name}.%04d.dpx"), set_up: Some(set_up.to_string()), ..Shot::default() };
        document.shots.insert(name.to_string(), shot);
    }
    let base = |layer: LayerAt, value: &str| Edit::SetBase {
        layer,
        member: "exposure".into(),
        field: "stops".into(),
        value: Some(value.into()),
    };
    let nudge =
        Edit::Nudge { shots: vec!["a".into()], member: "exposure".into(), field: "stops".into(), by: "0.25".into() };
    edits(
        &mut document,
        vec![
            base(LayerAt::SetUp("galley".into()), "1"),
            base(LayerAt::Shot("a".into()), "0.5"),
            nudge,
            Edit::SetMark {
                shot: "a".into(),
                member: "exposure".into(),
                field: "stops".into(),
                frame: 9,
                value: Some("2".into()),
            },
        ],
    );
    document
}

/// A window on it, which needs no file: nothing is saved.
fn bench() -> (tempfile::TempDir, Bench) {
    let folder = tempfile::tempdir().unwrap();
    let written = session::file::Written { document: document(), ..Default::default() };
    let project = Project::new(&folder.path().join("p.greywright"), written).unwrap();
    (folder, Bench::of(project))
}

fn stops(document: &Document, shot: &str) -> String {
    let touched = Touched { member: "exposure".into(), field: "stops".into(), channel: None };
    crate::numbers::value(document, Some(shot), None, &touched).unwrap()
}

/// The window with the table alone, which does what is asked for and remembers it.
struct Seen {
    bench: Bench,
    actions: Vec<Action>,
    dressed: bool,
}

fn harness(bench: Bench) -> Harness<'static, Seen> {
    Harness::builder().with_size([800.0, 140.0]).with_step_dt(0.25).build_ui_state(
        |ui, seen: &mut Seen| {
            if !std::mem::replace(&mut seen.dressed, true) {
                // Faces are there from the next pass on.
                crate::look::dress(ui.ctx());
                return;
            }
            let mut actions = Vec::new();
            crate::commands::keys(ui, &seen.bench, &mut actions);
            super::show(ui, &seen.bench, &Pictures::none(), &mut actions);
            for action in actions {
                seen.actions.push(action.clone());
                seen.bench.apply(action);
            }
        },
        Seen { bench, actions: Vec::new(), dressed: false },
    )
}

fn chosen(seen: &Seen) -> Vec<&str> {
    seen.bench.chosen.iter().map(String::as_str).collect()
}

#[test]
fn numbers_are_copied_within_a_set_up_as_they_stand() {
    let mut document = document();
    let members = ["exposure".to_string()].into();
    let edit = copy::edit(&document, "a", &["a".into(), "c".into()], &members).unwrap().unwrap();
    let mut wanted: Numbers = document.shots["a"].layer.members()["exposure"].clone();
    wanted.get_mut("stops").unwrap().marks.clear();
    let put = Edit::PutNumbers { layer: LayerAt::Shot("c".into()), member: "exposure".into(), numbers: wanted };
    assert_eq!(edit, Edit::Many(vec![put]));
    let before = document.clone();
    let back = document.apply(&edit).unwrap();
    assert_eq!(stops(&document, "c"), "0.75");
    assert!(document.shots["c"].layer.number("exposure", "stops").unwrap().marks.is_empty());
    assert_eq!(copy::edit(&document, "a", &["c".into()], &members), Ok(None));
    document.apply(&back).unwrap();
    assert_eq!(document, before);
}

#[test]
fn across_set_ups_the_copy_comes_to_the_same_values() {
    let mut document = document();
    let members = copy::members(&document);
    // The galley's stop is not the deck's.
    let edit = copy::edit(&document, "c", &["b".into(), "d".into()], &members).unwrap().unwrap();
    document.apply(&edit).unwrap();
    assert_eq!([stops(&document, "b"), stops(&document, "d")], ["1", "1"]);
    assert_eq!(document.set_ups["deck"], SetUp::default());
}

#[test]
fn a_locked_shot_takes_no_numbers_and_is_named() {
    let mut document = document();
    document.shots.get_mut("c").unwrap().locked = true;
    let why = copy::edit(&document, "a", &["c".into()], &copy::members(&document)).unwrap_err();
    assert!(why.contains("'c'") && why.contains("lock"), "{why}");
}

#[test]
fn what_is_changed_goes_to_all_chosen_shots_as_one_step() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Choose(vec!["b".into(), "d".into()]));
    let state = |shot: &str| Edit::SetState { shot: shot.into(), state: State::Balanced };
    let edit = pick::next_state(&bench).unwrap();
    assert_eq!(edit, Edit::Many(vec![state("b"), state("d")]));
    bench.apply(Action::Edit(edit));
    let states = |bench: &Bench| bench.document().unwrap().shots.values().map(|shot| shot.state).collect::<Vec<_>>();
    assert_eq!(states(&bench)[1], State::Balanced);
    assert_eq!(pick::to_state(&bench, State::Balanced), None);
    bench.apply(Action::StepBack);
    assert_eq!(states(&bench), [State::Untouched; 4]);
}

#[test]
fn rows_are_ordered_when_asked_and_then_stay() {
    let (_folder, mut bench) = bench();
    let clipped = |name: &str, share| Action::Table(OnTable::Clipped(name.into(), Ok(share)));
    bench.apply(Action::Table(OnTable::Order(Order::SetUp)));
    assert_eq!(bench.rows(), ["b", "d", "a", "c"]);
    bench.apply(Action::Table(OnTable::Order(Order::Worst)));
    bench.apply(clipped("c", 0.1));
    bench.apply(clipped("d", 0.2));
    assert_eq!(bench.rows(), ["d", "c", "a", "b"]);
    // A new figure for what had one, an edit: nothing jumps.
    bench.apply(clipped("c", 0.9));
    bench.apply(Action::Edit(Edit::SetNote { shot: "b".into(), note: "late light".into() }));
    assert_eq!(bench.rows(), ["d", "c", "a", "b"]);
    bench.apply(Action::Table(OnTable::Order(Order::Worst)));
    assert_eq!(bench.rows(), ["c", "d", "a", "b"]);
    bench.apply(Action::Table(OnTable::Filter("LATE deck".into())));
    assert_eq!(bench.rows(), ["b"]);
}

#[test]
fn presses_choose_one_a_range_and_one_more() {
    let (_folder, bench) = bench();
    let mut harness = harness(bench);
    harness.get_by_label("shot b").click();
    harness.run();
    assert!(harness.state().actions.contains(&Action::Choose(vec!["b".into()])));
    harness.get_by_label("shot d").click_modifiers(Modifiers::SHIFT);
    harness.run();
    assert_eq!((chosen(harness.state()), harness.state().bench.shot()), (vec!["b", "c", "d"], Some("d")));
    harness.get_by_label("shot c").click_modifiers(Modifiers::COMMAND);
    harness.run();
    assert_eq!((chosen(harness.state()), harness.state().bench.shot()), (vec!["b", "d"], Some("d")));
}

#[test]
fn arrows_move_the_row_and_keys_change_it() {
    let (_folder, bench) = bench();
    let mut harness = harness(bench);
    harness.get_by_label("shot b").click();
    harness.run();
    harness.key_press(Key::ArrowDown);
    harness.run();
    assert_eq!((chosen(harness.state()), harness.state().bench.shot()), (vec!["c"], Some("c")));
    harness.key_press_modifiers(Modifiers::SHIFT, Key::ArrowDown);
    harness.run();
    assert_eq!(chosen(harness.state()), ["c", "d"]);
    for key in [Key::S, Key::L, Key::A] {
        harness.key_press(key);
        harness.run();
    }
    let bench = &harness.state().bench;
    let shots = &bench.document().unwrap().shots;
    assert!(["c", "d"].iter().all(|name| shots[*name].locked && shots[*name].state == State::Balanced));
    assert_eq!(bench.table.anchor.as_deref(), Some("d"));
}

#[test]
fn a_note_is_kept_by_enter_and_left_by_escape() {
    let (_folder, bench) = bench();
    let mut harness = harness(bench);
    for (key, wanted) in [(Key::Escape, ""), (Key::Enter, "warm")] {
        harness.key_press(Key::N);
        harness.run();
        harness.get_by_label("note of a").type_text("warm");
        harness.run();
        harness.key_press(key);
        harness.run();
        assert_eq!(harness.state().bench.document().unwrap().shots["a"].note, wanted);
        assert_eq!(harness.state().bench.table.note, None);
    }
    let note = Edit::SetNote { shot: "a".into(), note: "warm".into() };
    assert!(harness.state().actions.contains(&Action::Edit(note)));
}

#[test]
fn a_run_stays_two_seconds_on_a_shot_in_cut_order() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Choose(vec!["d".into(), "b".into()]));
    let mut harness = harness(bench);
    harness.key_press(Key::R);
    let mut seen = Vec::new();
    // A quarter of a second a step.
    for _ in 0..24 {
        harness.step();
        seen.push(harness.state().bench.shot().unwrap_or_default().to_string());
    }
    let count = |name: &str| seen.iter().filter(|own| *own == name).count();
    assert_eq!(count("b"), 8, "{seen:?}");
    assert!(seen.iter().rposition(|own| own == "b") < seen.iter().rposition(|own| own == "d"));
    assert_eq!(harness.state().bench.table.run, None);
    assert_eq!(chosen(harness.state()), ["b", "d"]);
}

#[test]
fn layers_are_spelt_out_for_the_touched_setting() {
    let (_folder, mut bench) = bench();
    bench.apply(Action::Touch(Touched { member: "exposure".into(), field: "stops".into(), channel: None }));
    let words = super::layers::words(&bench, "a").unwrap();
    assert_eq!(
        words,
        "exposure stops:  kit 0   scene \u{2013}   set-up 1   shot 0.5, trim 0.25, 1 mark   comes to 2.25"
    );
}
