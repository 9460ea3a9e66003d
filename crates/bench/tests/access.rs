//! Whoever reads the window aloud, or has no pointer, gets to everything in it.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use std::collections::BTreeSet;

use bench::commands::COMMANDS;
use bench::state::{Action, Bench, OnOriginals, Opened, Seen, Sheet};
use egui::accesskit::{Action as Asked, Role};
use egui::{Key, Modifiers, Shape};
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use egui_kittest::{Harness, Node};
use ferry::{Ferry, exposure, stops, window};
use session::originals::{Folder, Found};
use session::queue::Job;
use session::queue::State::{Done, Failed, Paused, Waiting};

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

/// The window in a state: what it is called, and what leads there.
type State = (&'static str, Vec<Action>);

/// The window in all its states.
fn states() -> Vec<State> {
    let lay = |sheet: Sheet| vec![Action::Lay(Some(sheet))];
    let mut states = vec![
        ("the window", Vec::new()),
        ("commands", lay(Sheet::Commands { search: String::new() })),
        ("steps", lay(Sheet::Steps)),
        ("plan", lay(Sheet::Plan)),
        ("trust", lay(Sheet::Trust)),
        ("open", lay(Sheet::Open { typed: String::new() })),
        ("leaving", lay(Sheet::Leaving)),
        ("recovery", lay(Sheet::Recovery)),
        ("verdict", lay(Sheet::Verdict)),
        ("tile", lay(Sheet::Tile)),
        ("outside", lay(Sheet::Outside { typed: String::new(), encoding: String::new() })),
        ("monitor", lay(Sheet::Monitor { typed: String::new() })),
        ("renders", lay(Sheet::Renders)),
        ("new project", Vec::new()),
        ("a seam", vec![Action::Seam(Some(0.5))]),
        ("differences", vec![Action::Difference(true)]),
    ];
    // Each operation with its scales in place.
    let scales = ["the gate", "exposure", "white", "rendering"];
    let open = |at: usize| vec![Action::OpenScales(Some(Opened { candidate: "light-first".to_string(), at }))];
    states.extend(scales.into_iter().enumerate().map(|(at, what)| (what, open(at))));
    states
}

/// What was found in a folder of originals.
fn found() -> Folder {
    let shot = |name: &str| Found {
        name: name.to_string(),
        media: format!("originals/{name}.####.dpx").into(),
        frames: 48,
        span: [1, 48],
        missing: String::new(),
        size: frame::Size::new(1920, 1080),
        stored: "10-bit RGB".to_string(),
        encoding: Some("LogC3".to_string()),
        reason: "its header".to_string(),
        range: None,
        exposure_index: Some(800),
    };
    Folder { shots: vec![shot("deck_010"), shot("galley_010")], refused: Vec::new() }
}

/// A window with work behind it, some of it taken back, in a state.
fn worked_on(ferry: &Ferry, state: &State) -> Window {
    scaled(ferry, state, 1.0)
}

fn scaled(ferry: &Ferry, (what, actions): &State, scale: f32) -> Window {
    let mut bench = ferry.bench();
    for action in [Action::Edit(exposure("0.5")), Action::Edit(exposure("1")), Action::StepBack] {
        bench.apply(action);
    }
    match *what {
        "recovery" => {
            bench.keep().unwrap();
            drop(bench);
            bench = ferry.bench();
        }
        "new project" => {
            let empty = ferry.folder().join("originals");
            std::fs::create_dir_all(&empty).unwrap();
            bench.apply(Action::Open(empty));
            bench.apply(Action::Originals(OnOriginals::Seen(Ok(found()))));
        }
        "renders" => {
            let job = |number, state| Job { number, state, out: "rendered/a.%04d.dpx".to_string(), ..Job::default() };
            let states = [Done, Failed, Paused, Waiting].into_iter().zip(1..);
            let jobs = states.map(|(state, number)| (job(number, state), false)).collect();
            bench.see(Seen { jobs, ..Seen::default() });
        }
        _ => {}
    }
    actions.iter().cloned().for_each(|action| bench.apply(action));
    window(bench, [1280.0, 800.0], scale)
}

#[test]
fn every_control_has_a_name_and_is_reached_by_tab() {
    for state in states() {
        let what = state.0;
        let ferry = Ferry::new();
        let mut window = worked_on(&ferry, &state);
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
    for state in states() {
        let what = state.0;
        let buttons = |window: &Window| -> Vec<(usize, String)> {
            let all = controls(window).into_iter().enumerate();
            let pressed = all.filter(|(_, node)| node.accesskit_node().role() == Role::Button);
            pressed.map(|(at, node)| (at, named(&node))).collect()
        };
        let all = buttons(&worked_on(&Ferry::new(), &state));
        // Most commands are tried by the test below.
        for (at, name) in all.into_iter().filter(|(_, name)| what != "commands" || name.contains("step")) {
            let ferry = Ferry::new();
            let mut window = worked_on(&ferry, &state);
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
    let mut window = worked_on(&ferry, &("the window", Vec::new()));
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
    let mut window = worked_on(&ferry, &("the window", Vec::new()));
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
        let mut window = worked_on(&ferry, &("the window", Vec::new()));
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
    let mut window =
        worked_on(&ferry, &("commands", vec![Action::Lay(Some(Sheet::Commands { search: String::new() }))]));
    let wall = window.state().0.wall.clone();
    window.key_press(Key::W);
    window.key_press(Key::F);
    window.run_steps(2);
    assert_eq!(window.state().0.wall, wall);
}

/// What is set by more than a press.
fn is_set(role: Role) -> bool {
    matches!(
        role,
        Role::Slider | Role::SpinButton | Role::CheckBox | Role::ComboBox | Role::TextInput | Role::RadioButton
    )
}

#[test]
fn every_control_changes_by_keys() {
    let mut tried = 0;
    for state in states() {
        let what = state.0;
        let of = |window: &Window| -> Vec<(usize, String)> {
            let all = controls(window).into_iter().enumerate();
            let set = all.filter(|(_, node)| is_set(node.accesskit_node().role()));
            set.map(|(at, node)| (at, named(&node))).collect()
        };
        for (at, name) in of(&worked_on(&Ferry::new(), &state)) {
            let keys = [Key::ArrowRight, Key::ArrowUp, Key::ArrowDown, Key::ArrowLeft, Key::Space, Key::Enter];
            let mut presses = keys.map(Some).to_vec();
            // Letters, where letters are taken.
            presses.insert(0, None);
            let changes = presses.into_iter().any(|key| {
                let ferry = Ferry::new();
                let mut window = worked_on(&ferry, &state);
                controls(&window)[at].focus();
                window.run_steps(3);
                let stands = |window: &Window| {
                    let done = window.state().1.iter();
                    let changes = done.filter(|action| !matches!(action, Action::Touch(_) | Action::Activate(_)));
                    let names: Vec<_> = controls(window).iter().map(|node| (named(node), node.value())).collect();
                    (changes.count(), names)
                };
                let before = stands(&window);
                match key {
                    Some(key) => window.key_press(key),
                    None => window.event(egui::Event::Text("2".to_string())),
                }
                window.run_steps(3);
                stands(&window) != before
            });
            assert!(changes, "{what}: no key changes {name:?}");
            tried += 1;
        }
    }
    assert!(tried > 20, "{tried}");
}

/// Words that stand in the window, each with the part of it that is seen and where they are.
fn words(window: &Window) -> Vec<(String, bool, egui::Rect, egui::Rect)> {
    fn gather(shape: &Shape, clip: egui::Rect, all: &mut Vec<(String, bool, egui::Rect, egui::Rect)>) {
        match shape {
            Shape::Text(text) if !text.galley.text().trim().is_empty() => {
                let rect = text.galley.rect.translate(text.pos.to_vec2());
                all.push((text.galley.text().to_string(), text.galley.elided, clip, rect));
            }
            Shape::Vec(shapes) => shapes.iter().for_each(|shape| gather(shape, clip, all)),
            _ => {}
        }
    }
    let mut all = Vec::new();
    window.output().shapes.iter().for_each(|clipped| gather(&clipped.shape, clipped.clip_rect, &mut all));
    all
}

/// Nothing that is written ends in the middle of a word: neither shortened, nor cut off by the edge of its part.
#[test]
fn no_words_are_cut() {
    let mut cut = Vec::new();
    for state in states() {
        for scale in [1.0, 1.5, 2.0] {
            let ferry = Ferry::new();
            let window = scaled(&ferry, &state, scale);
            for (text, elided, clip, rect) in words(&window) {
                // What lies beyond the edge of a list is scrolled to, down and not across; its row is not seen at all.
                let across = rect.left() >= clip.left() - 1.0 && rect.right() <= clip.right() + 1.0;
                let seen = clip.intersects(rect);
                // Paths of the machine are as long as they are.
                let is_path = text.contains(std::path::MAIN_SEPARATOR) && text.len() > 60;
                if seen && (elided || !across) && !is_path {
                    cut.push(format!("{} at {scale}: {text:?} {rect:?} in {clip:?}", state.0));
                }
            }
        }
    }
    cut.sort();
    cut.dedup();
    assert!(cut.is_empty(), "{} words are cut:\n{}", cut.len(), cut.join("\n"));
}

#[test]
fn words_stay_within_the_window() {
    for state in states() {
        let what = state.0;
        let lies_over = !["the window", "a seam", "differences"].contains(&what);
        for scale in [1.0, 1.5, 2.0] {
            let ferry = Ferry::new();
            // A window of 1280 by 800 points, whatever the pixels are.
            let window = scaled(&ferry, &state, scale);
            let whole = egui::Rect::from_min_size(egui::Pos2::ZERO, egui::vec2(1280.0, 800.0)).expand(0.5);
            for node in window.root().children_recursive().filter(|node| !named(node).is_empty()) {
                let rect = node.rect();
                // The list of a sheet may go on below, and is scrolled then.
                let across = rect.left() >= whole.left() && rect.right() <= whole.right();
                let inside = whole.contains_rect(rect) || (lies_over && across);
                assert!(inside, "{what} at {scale}: {:?} lies at {rect:?}", named(&node));
            }
        }
    }
}
