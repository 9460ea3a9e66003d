use egui::{Key, Modifiers};
use egui_kittest::kittest::Queryable as _;

use crate::rig::{Rig, press, write};
use crate::state::Action;

fn window() -> egui_kittest::Harness<'static, Rig> {
    let mut window =
        Rig::new(&[("only", &["input-transform", "exposure", "printer-points"])]).opened("only", 1).window();
    window.get_by_label("stops").focus();
    window.step();
    window
}

fn stops(window: &egui_kittest::Harness<'_, Rig>, shot: &str) -> String {
    let document = window.state().bench.project().unwrap().document();
    document.resolve(Some(shot), None).unwrap()["exposure"].get("stops").unwrap()
}

#[test]
fn all_chosen_shots_are_named_before_and_then_moved_in_one_step() {
    let mut window = window();
    let both = ["galley_010", "deck_010"].map(str::to_string).to_vec();
    window.state_mut().bench.apply(Action::Choose(both));
    window.step();
    write(&mut window, "*+1/4");
    assert!(window.query_by_label("for deck_010, galley_010; Enter keeps, Escape returns").is_some());
    assert_eq!((stops(&window, "galley_010"), stops(&window, "deck_010")), ("0".to_string(), "0".to_string()));
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!((stops(&window, "galley_010"), stops(&window, "deck_010")), ("0.25".to_string(), "0.25".to_string()));
    assert_eq!(window.state().bench.project().unwrap().steps().names_back().count(), 1);
}

#[test]
fn a_star_without_chosen_shots_is_refused() {
    let mut window = window();
    window.state_mut().bench.chosen.clear();
    write(&mut window, "*+1");
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    let words = window.state().bench.message.clone().unwrap().words;
    assert!(words.contains("no shots are chosen"), "{words}");
    assert_eq!(stops(&window, "galley_010"), "0");
}

#[test]
fn what_the_scale_does_not_take_is_said_while_it_is_typed() {
    let mut window = window();
    write(&mut window, "=99");
    assert!(window.query_by_label_contains("outside -24 to 24").is_some());
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!(stops(&window, "galley_010"), "0");
}
