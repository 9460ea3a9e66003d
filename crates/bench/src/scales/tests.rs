use std::collections::BTreeSet;

use egui::{Key, Modifiers, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use ops::{Control, Field, Op};
use session::beside::Kind;

use super::named::choices;
use crate::numbers::numbers;
use crate::rig::{Rig, hold, let_go, press, write};
use crate::state::{Action, BeforeAfter, OfTile, OnProbes, Read};

/// A window with the scales of an operation open; it stands alone on its rail behind what it may need.
fn open(op: &Op) -> Harness<'static, Rig> {
    Rig::new(&[("only", &[op.id()])]).opened("only", 0).window()
}

/// The names of the rules that are there: whatever is drawn as a slider.
fn rules(window: &Harness<'_, Rig>) -> Vec<String> {
    let sliders = window.query_all_by_role(egui::accesskit::Role::Slider);
    sliders.filter_map(|node| node.accesskit_node().label()).collect()
}

fn held(field: &Field, value: &str) -> bool {
    let Some((low, high)) = field.hard else { return true };
    numbers(value).is_none_or(|numbers| numbers.iter().all(|number| (low..=high).contains(number)))
}

/// Everything that the shot makes of a member, so that a test sees whatever moved.
fn all(rig: &Rig, op: &Op, shown: bool) -> Vec<(&'static str, String)> {
    let of = |field: &Field| if shown { rig.shown(op.id(), field.key) } else { rig.kept(op.id(), field.key) };
    op.fields().iter().map(|field| (field.key, of(field))).collect()
}

#[test]
fn every_rule_is_dragged_within_its_hard_range_and_returns() {
    let mut dragged = BTreeSet::new();
    for op in Op::all() {
        let count = rules(&open(&op)).len();
        for number in 0..count {
            let mut window = open(&op);
            let name = rules(&window)[number].clone();
            let rect = window.get_by_label(&name).rect();
            let before = all(window.state(), &op, true);
            let from = rect.center() + vec2(0.0, 6.0);
            let mut ways = 0;
            // Far beyond the end of the scale: the hard range holds.
            for by in [40.0, -40.0, 4000.0] {
                let to = from + vec2(by, 0.0);
                hold(&mut window, &[from, from + vec2(by.signum() * 8.0, 0.0), to]);
                let after = all(window.state(), &op, true);
                ways += usize::from(after != before);
                for (field, (_, value)) in op.fields().iter().zip(&after) {
                    assert!(held(field, value), "{} {}: {value}", op.id(), field.key);
                }
                assert_eq!(all(window.state(), &op, false), before, "nothing is kept while it is dragged");
                window.state_mut().bench.apply(Action::Return);
                assert_eq!(all(window.state(), &op, true), before, "{} {name}", op.id());
                let_go(&mut window, to);
                assert_eq!(all(window.state(), &op, false), before, "{} {name}: what was returned from", op.id());
            }
            // A needle at an end of its hard range goes one way alone.
            assert!(ways > 0, "{} {name}: {:?}", op.id(), window.state().bench.message);
            dragged.insert((op.id(), name));
        }
        let scales = op.fields().iter().filter(|field| match field.control {
            Control::Scale => op.get(field.key).is_some_and(|value| !value.is_empty()),
            _ => false,
        });
        assert!(count >= scales.count(), "{}: a scale without a rule", op.id());
    }
    assert!(dragged.len() > 40, "{}", dragged.len());
}

#[test]
fn every_rule_moves_by_keys_one_step_back_each_and_home_is_neutral() {
    for op in Op::all() {
        let count = rules(&open(&op)).len();
        for number in 0..count {
            let mut window = open(&op);
            let name = rules(&window)[number].clone();
            window.get_by_label(&name).focus();
            window.step();
            let before = all(window.state(), &op, false);
            // One of the two ways is free wherever the needle stands.
            press(&mut window, Modifiers::NONE, &[Key::ArrowRight, Key::ArrowLeft, Key::ArrowLeft]);
            let whole = all(window.state(), &op, false);
            press(&mut window, Modifiers::NONE, &[Key::ArrowRight]);
            press(&mut window, Modifiers::SHIFT, &[Key::ArrowLeft]);
            assert_ne!(all(window.state(), &op, false), whole, "{} {name}: a tenth is less than a tick", op.id());
            while window.state().bench.project().unwrap().steps().names_back().count() > 0 {
                window.state_mut().bench.apply(Action::StepBack);
            }
            assert_eq!(all(window.state(), &op, false), before, "{} {name}", op.id());
        }
    }
}

#[test]
fn a_scale_with_the_keys_takes_typed_numbers() {
    let op = Op::named("exposure").unwrap();
    let mut window = open(&op);
    window.get_by_label("stops").focus();
    window.step();
    write(&mut window, "-1/3");
    assert!(window.state().shown("exposure", "stops").starts_with("-0.333"));
    press(&mut window, Modifiers::NONE, &[Key::Escape]);
    window.state_mut().bench.apply(Action::Return);
    assert_eq!(window.state().shown("exposure", "stops"), "0");
    window.get_by_label("stops").focus();
    window.step();
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    write(&mut window, "=1/2");
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!(window.state().kept("exposure", "stops"), "0.5");
    // The scale has the keys again.
    press(&mut window, Modifiers::NONE, &[Key::Home]);
    assert_eq!(window.state().kept("exposure", "stops").parse::<f64>().unwrap(), 0.0);
}

#[test]
fn nothing_moves_by_scrolling_past() {
    let op = Op::named("printer-points").unwrap();
    let mut window = open(&op);
    let before = all(window.state(), &op, true);
    for name in rules(&window) {
        let at = window.get_by_label(&name).rect().center();
        window.hover_at(at);
        let delta = vec2(0.0, 30.0);
        let (unit, phase, modifiers) = (egui::MouseWheelUnit::Point, egui::TouchPhase::Move, Modifiers::NONE);
        let source = egui::MouseWheelSource::Wheel;
        window.event(egui::Event::MouseWheel { unit, delta, phase, source, modifiers });
        window.step();
    }
    assert_eq!(all(window.state(), &op, true), before);
    assert!(!window.state().log.iter().any(|action| matches!(action, Action::Try(_) | Action::Edit(_))));
}

#[test]
fn the_map_of_whites_moves_both_ways() {
    let op = Op::named("white-balance").unwrap();
    let mut window = open(&op);
    let map = rules(&window).into_iter().find(|name| name.contains("map")).unwrap();
    let rect = window.get_by_label(&map).rect();
    let from = rect.center();
    hold(&mut window, &[from, from + vec2(20.0, 0.0), from + vec2(60.0, -10.0)]);
    let_go(&mut window, from + vec2(60.0, -10.0));
    let white = <colour::white::White as ops::Setting>::parse(&window.state().kept("white-balance", "from")).unwrap();
    let (kelvin, duv) = white.cct_duv().unwrap();
    // To the right is warmer light, upwards greener.
    assert!(kelvin < 6000.0 && duv > 0.004, "{kelvin} {duv}");
}

#[test]
fn every_choice_has_its_names_and_takes_them() {
    for op in Op::all() {
        for field in op.fields().iter().filter(|field| field.control == Control::Choice) {
            let names = choices(&op, field);
            let number = field.hard.is_some();
            assert!(number || names.len() > 1, "{} {}: {names:?}", op.id(), field.key);
            for name in names {
                let mut other = op.clone();
                other.set(field.key, &name).unwrap();
                assert_eq!(other.get(field.key).as_ref(), Some(&name));
            }
        }
    }
}

#[test]
fn a_choice_is_made_and_a_switch_turned() {
    let op = Op::named("white-balance").unwrap();
    let mut window = open(&op);
    window.get_by(|node| node.label().is_some_and(|label| label.starts_with("method: "))).click();
    (0..3).for_each(|_| window.step());
    window.get_by_label("CAT16").click_accesskit();
    (0..3).for_each(|_| window.step());
    assert_eq!(window.state().kept("white-balance", "method"), "CAT16");
    let op = Op::named("cdl").unwrap();
    let mut window = open(&op);
    window.get_by_label("clamp").click();
    (0..3).for_each(|_| window.step());
    assert_eq!(window.state().kept("cdl", "clamp"), "true");
}

#[test]
fn a_typed_name_is_taken_on_enter() {
    let op = Op::named("lut").unwrap();
    let mut window = open(&op);
    window.get_by_role_and_label(egui::accesskit::Role::TextInput, "file").focus();
    window.step();
    write(&mut window, "ferry.cube");
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!(window.state().kept("lut", "file"), "ferry.cube");
}

/// What a grey card shows stands on the map of the light that a picture was lit by, and on no other.
#[test]
fn the_light_of_grey_cards_stands_on_the_map() {
    let op = Op::named("white-balance").unwrap();
    let mut window = open(&op);
    let maps = |window: &Harness<'static, Rig>| -> Vec<String> {
        let all = window.query_all_by(|node| node.label().is_some_and(|label| label.contains("map of whites")));
        all.filter_map(|node| node.accesskit_node().label()).collect()
    };
    assert!(maps(&window).iter().all(|name| !name.contains("grey cards")));
    let bench = &mut window.state_mut().bench;
    bench.apply(Action::Probes(OnProbes::Place([1.0, 2.0, 4.0, 4.0])));
    bench.apply(Action::Probes(OnProbes::Place([9.0, 2.0, 4.0, 4.0])));
    // A card under light of 200 mired, which is 46.3 mired from D65 (CIE 15: 6504 K, Duv 0.0032), and something else.
    let read =
        |white| Some(Read { levels: [400.0; 3], bits: Some(10), stops: None, white: Some(white), delta_e: None });
    let probes = vec![
        BeforeAfter { before: read([46.3, -0.0032]), after: None },
        BeforeAfter { before: read([300.0, 0.02]), after: None },
    ];
    bench.apply(Action::Probes(OnProbes::Read(0, OfTile { shot: "galley_010".into(), probes, fault: None })));
    assert_eq!(bench.measured_light(), None, "no probe is said to be on a card");
    bench.apply(Action::Probes(OnProbes::Kind(0, Kind::Grey)));
    let [mired, duv] = bench.measured_light().unwrap();
    assert!((mired - 200.0).abs() < 0.1 && duv.abs() < 1e-4, "{mired} {duv}");
    (0..2).for_each(|_| window.step());
    let named: Vec<String> = maps(&window).into_iter().filter(|name| name.contains("grey cards show")).collect();
    assert!(named.len() == 1 && named[0].starts_with("from "), "{named:?}");
}
