//! Whoever reads the window aloud, or has no pointer, gets to everything in it.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use std::collections::BTreeSet;

use bench::commands::COMMANDS;
use bench::state::{Action, Bench, Sheet};
use egui::accesskit::{Action as Asked, Role};
use egui::{Key, Modifiers};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use ferry::{Ferry, exposure, stops, window};

type Window = Harness<'static, (Bench, Vec<Action>)>;

/// What can be pressed, set or typed in.
fn controls(window: &Window) -> Vec<Node<'_>> {
    let takes = |node: &Node<'_>| {
        let node = node.accesskit_node();
        let able = node.data().supports_action(Asked::Focus) && !node.is_disabled();
        // Areas that scroll and the window itself take the keys for what lies in them.
        able && !matches!(node.role(), Role::Window | Role::ScrollView | Role::GenericContainer | Role::Unknown)
    };
    window.root().children_recursive().filter(takes).collect()
}

fn named(node: &Node<'_>) -> String {
    let node = node.accesskit_node();
    let by = node.labelled_by().filter_map(|other| other.label().or_else(|| other.value())).collect::<Vec<_>>();
    node.label().filter(|name| !name.trim().is_empty()).unwrap_or_else(|| by.join(" "))
}

/// The window in all its states.
fn states() -> Vec<(&'static str, Option<Sheet>)> {
    vec![
        ("the window", None),
        ("commands", Some(Sheet::Commands { search: String::new() })),
        ("steps", Some(Sheet::Steps)),
        ("plan", Some(Sheet::Plan)),
        ("trust", Some(Sheet::Trust)),
        ("open", Some(Sheet::Open { typed: String::new() })),
        ("leaving", Some(Sheet::Leaving)),
        ("recovery", Some(Sheet::Recovery)),
        ("verdict", Some(Sheet::Verdict)),
    ]
}

/// A window with work behind it, some of it taken back, in a state.
fn worked_on(ferry: &Ferry, sheet: Option<Sheet>) -> Window {
    let mut bench = ferry.bench();
    for action in [Action::Edit(exposure("0.5")), Action::Edit(exposure("1")), Action::StepBack] {
        bench.apply(action);
    }
    if sheet == Some(Sheet::Recovery) {
        bench.keep().unwrap();
        drop(bench);
        bench = ferry.bench();
    }
    bench.apply(Action::Lay(sheet));
    window(bench, [1280.0, 800.0], 1.0)
}

#[test]
fn every_control_has_a_name_and_is_reached_by_tab() {
    for (what, sheet) in states() {
        let ferry = Ferry::new();
        let mut window = worked_on(&ferry, sheet);
        let all: BTreeSet<String> = controls(&window).iter().map(named).collect();
        assert!(!all.contains(""), "{what}: {all:?}");
        assert!(!all.is_empty(), "{what}");
        let mut reached = BTreeSet::new();
        for _ in 0..2 * controls(&window).len() + 2 {
            window.key_press(Key::Tab);
            window.run_steps(2);
            reached.extend(controls(&window).iter().filter(|node| node.is_focused()).map(named));
        }
        // The entry line is called by the scale that it goes to, and Tab touches scales on its way.
        let now: BTreeSet<String> = controls(&window).iter().map(named).collect();
        let missed: Vec<_> = now.difference(&reached).collect();
        assert!(missed.is_empty(), "{what}: Tab does not get to {missed:?}");
    }
}

#[test]
fn every_button_is_pressed_by_a_key() {
    for (what, sheet) in states() {
        let buttons = |window: &Window| -> Vec<(usize, String)> {
            let all = controls(window).into_iter().enumerate();
            let pressed = all.filter(|(_, node)| node.accesskit_node().role() == Role::Button);
            pressed.map(|(at, node)| (at, named(&node))).collect()
        };
        let all = buttons(&worked_on(&Ferry::new(), sheet.clone()));
        // Most commands are tried by the test below.
        for (at, name) in all.into_iter().filter(|(_, name)| what != "commands" || name.contains("step")) {
            let ferry = Ferry::new();
            let mut window = worked_on(&ferry, sheet.clone());
            controls(&window)[at].focus();
            window.run_steps(2);
            let stands = |window: &Window| {
                let names: Vec<_> = controls(window).iter().map(named).collect();
                (window.state().0.revision(), names)
            };
            let before = stands(&window);
            window.key_press(Key::Enter);
            window.run_steps(2);
            // Going to where one is does nothing.
            assert!(stands(&window) != before || name.ends_with("now"), "{what}: Enter does nothing on {name:?}");
        }
    }
}

#[test]
fn commands_are_found_by_their_words_and_done_by_enter() {
    let ferry = Ferry::new();
    let mut window = worked_on(&ferry, None);
    window.key_press(Key::F1);
    window.run_steps(3);
    window.event(egui::Event::Text("step last".to_string()));
    window.run_steps(3);
    assert_eq!(window.query_all_by_role(Role::Button).filter(|node| named(node).contains("step")).count(), 1);
    window.key_press(Key::Enter);
    window.run_steps(3);
    let (bench, _) = window.state();
    assert_eq!((bench.sheet.clone(), stops(bench.document().unwrap())), (None, "0".to_string()));
}

#[test]
fn a_key_with_more_fingers_is_not_taken_for_one_with_fewer() {
    let ferry = Ferry::new();
    let mut window = worked_on(&ferry, None);
    window.key_press_modifiers(Modifiers::COMMAND | Modifiers::SHIFT, Key::Z);
    window.run_steps(2);
    assert_eq!(stops(window.state().0.document().unwrap()), "1", "what was taken back is brought again");
    window.key_press_modifiers(Modifiers::COMMAND, Key::Z);
    window.run_steps(2);
    assert_eq!(stops(window.state().0.document().unwrap()), "0.5");
}

#[test]
fn every_command_does_something_by_its_key() {
    for command in COMMANDS {
        let Some(key) = command.key else { continue };
        let ferry = Ferry::new();
        let mut window = worked_on(&ferry, None);
        let possible = (command.action)(&window.state().0).is_some();
        let before = window.state().0.revision();
        window.key_press_modifiers(key.modifiers, key.logical_key);
        window.run_steps(2);
        assert_eq!(window.state().0.revision() > before, possible, "{}", command.words);
    }
}

#[test]
fn keys_of_the_wall_are_letters_while_one_types() {
    let ferry = Ferry::new();
    let mut window = worked_on(&ferry, Some(Sheet::Commands { search: String::new() }));
    let wall = window.state().0.wall.clone();
    window.key_press(Key::W);
    window.key_press(Key::F);
    window.run_steps(2);
    assert_eq!(window.state().0.wall, wall);
}

#[test]
fn words_stay_within_the_window() {
    for (what, sheet) in states() {
        for scale in [1.0, 1.5, 2.0] {
            let ferry = Ferry::new();
            let mut bench = ferry.bench();
            bench.apply(Action::Lay(sheet.clone().filter(|sheet| *sheet != Sheet::Recovery)));
            // A window of 1280 by 800 points, whatever the pixels are.
            let window = window(bench, [1280.0, 800.0], scale);
            let whole = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0)).expand(0.5);
            for node in window.root().children_recursive().filter(|node| !named(node).is_empty()) {
                let rect = node.rect();
                // The list of a sheet may go on below, and is scrolled then.
                let across = rect.left() >= whole.left() && rect.right() <= whole.right();
                let inside = whole.contains_rect(rect) || (sheet.is_some() && across);
                assert!(inside, "{what} at {scale}: {:?} lies at {rect:?}", named(&node));
            }
        }
    }
}
