use egui::{Key, Modifiers, pos2, vec2};
use egui_kittest::kittest::Queryable as _;
use graph::Edit;

use crate::rig::{Rig, first, hold, let_go, place, press, write};
use crate::state::Action;

const A: &[&str] = &["input-transform", "exposure", "white-balance", "output-transform"];
const B: &[&str] = &["input-transform", "printer-points", "exposure", "output-transform"];

fn two() -> Rig {
    Rig::new(&[("adaptation", A), ("points", B)])
}

#[test]
fn a_swapped_order_by_drag_is_tried_live_and_kept_when_let_go() {
    let mut window = two().window();
    let from = place(&window, "white-balance").center();
    let to = place(&window, "exposure").left_center() + vec2(4.0, 0.0);
    hold(&mut window, &[from, from - vec2(10.0, 0.0), to]);
    assert_eq!(
        window.state().shown_order("adaptation"),
        ["input-transform", "white-balance", "exposure", "output-transform"]
    );
    assert_eq!(window.state().order("adaptation"), A, "nothing is kept before it is let go");
    let_go(&mut window, to);
    assert_eq!(
        window.state().order("adaptation"),
        ["input-transform", "white-balance", "exposure", "output-transform"]
    );
    let moves = window.state().log.iter().filter(|action| matches!(action, Action::Try(Edit::Move { .. }))).count();
    assert_eq!(moves, 1, "one order is tried once");
    window.state_mut().bench.apply(Action::StepBack);
    assert_eq!(window.state().order("adaptation"), A);
}

#[test]
fn a_carriage_that_comes_back_to_its_place_leaves_nothing_behind() {
    let mut window = two().window();
    let from = place(&window, "white-balance").center();
    let to = place(&window, "exposure").left_center() + vec2(4.0, 0.0);
    hold(&mut window, &[from, to, from]);
    let_go(&mut window, from);
    assert_eq!(window.state().order("adaptation"), A);
    assert_eq!(window.state().bench.project().unwrap().steps().names_back().count(), 0);
}

#[test]
fn a_carriage_dragged_across_puts_its_member_on_the_other_rail() {
    let mut window = two().window();
    let from = place(&window, "white-balance").center();
    let below = place(&window, "printer-points");
    let to = pos2(below.right() + 2.0, below.center().y);
    hold(&mut window, &[from, from + vec2(0.0, 4.0), to]);
    let_go(&mut window, to);
    let want = ["input-transform", "printer-points", "white-balance", "exposure", "output-transform"];
    assert_eq!(window.state().order("points"), want);
    assert_eq!(window.state().order("adaptation"), A);
}

#[test]
fn what_stands_on_the_other_rail_already_is_said_and_snaps_back() {
    let mut window = two().window();
    let from = place(&window, "exposure").center();
    let below = place(&window, "printer-points");
    let to = pos2(below.left() - 2.0, below.center().y);
    hold(&mut window, &[from, from + vec2(0.0, 4.0), to]);
    let words = window.state().bench.message.clone().unwrap().words;
    assert!(words.contains("stands on points already"), "{words}");
    let_go(&mut window, to);
    assert_eq!((window.state().order("points"), window.state().order("adaptation")), (own(B), own(A)));
}

fn own(names: &[&str]) -> Vec<String> {
    names.iter().map(ToString::to_string).collect()
}

#[test]
fn an_order_without_a_meaning_says_why_and_is_not_tried() {
    let mut rig = Rig::new(&[("display", &["input-transform", "output-transform", "channel-gain"])]);
    let at = rig.bench.document().unwrap().candidates["display"].in_order().unwrap()[2];
    let domain = Some(ops::Domain::Display);
    rig.bench.apply(Action::Edit(Edit::SetDomain { candidate: "display".to_string(), at, domain }));
    let before = rig.order("display");
    let mut window = rig.window();
    let from = place(&window, "channel-gain").center();
    let to = place(&window, "output-transform").left_center() - vec2(40.0, 0.0);
    hold(&mut window, &[from, to]);
    let words = window.state().bench.message.clone().unwrap().words;
    assert!(words.contains("there is no display signal yet"), "{words}");
    let_go(&mut window, to);
    assert_eq!(window.state().order("display"), before);
}

#[test]
fn ties_of_a_swapped_order_cross() {
    let swapped: &[&str] = &["input-transform", "white-balance", "exposure", "output-transform"];
    let window = Rig::new(&[("one", A), ("other", swapped)]).window();
    let x = |name: &str, rail: &str| {
        let node = window.get_by(|node| {
            node.label().is_some_and(|label| label.starts_with(name) && label.ends_with(&format!("on rail {rail}")))
        });
        node.rect().center().x
    };
    let ways = |name: &str| (x(name, "one"), x(name, "other"));
    let (exposure, white) = (ways("exposure"), ways("white-balance"));
    assert!(exposure.0 < white.0 && exposure.1 > white.1, "{exposure:?} {white:?}");
    assert_eq!(x("input-transform", "one"), x("input-transform", "other"), "gates stand one below the other");
}

#[test]
fn keys_walk_move_pass_by_and_take_out() {
    let mut window = two().window();
    first(&window, "exposure").focus();
    window.step();
    press(&mut window, Modifiers::ALT, &[Key::ArrowRight]);
    assert_eq!(
        window.state().order("adaptation"),
        ["input-transform", "white-balance", "exposure", "output-transform"]
    );
    press(&mut window, Modifiers::NONE, &[Key::Slash]);
    let passed = |rig: &Rig, candidate: &str| {
        let wiring = &rig.bench.document().unwrap().candidates[candidate];
        wiring.graph().node_weights().filter(|place| place.bypass).map(|place| place.member.clone()).collect::<Vec<_>>()
    };
    assert_eq!(passed(window.state(), "adaptation"), ["exposure"]);
    assert!(window.state().bench.opened.is_none(), "it opens nothing");
    press(&mut window, Modifiers::NONE, &[Key::ArrowLeft, Key::Slash]);
    assert_eq!(passed(window.state(), "adaptation").len(), 2);
    press(&mut window, Modifiers::NONE, &[Key::ArrowRight, Key::ArrowDown, Key::Delete]);
    assert_eq!(window.state().order("points"), ["input-transform", "printer-points", "output-transform"]);
}

#[test]
fn enter_opens_and_closes_the_scales() {
    let mut window = two().window();
    first(&window, "exposure").focus();
    window.step();
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!(window.state().bench.opened.as_ref().map(|opened| opened.at), Some(1));
    assert!(window.query_by_label("stops").is_some());
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert!(window.state().bench.opened.is_none());
}

#[test]
fn a_press_opens_the_scales_and_gives_them_the_entry_line() {
    let mut window = two().window();
    first(&window, "white-balance").click();
    (0..3).for_each(|_| window.step());
    assert_eq!(window.state().bench.opened.as_ref().map(|opened| opened.at), Some(2));
    let touched = window.state().bench.touched.clone().unwrap();
    assert_eq!((touched.member.as_str(), touched.field.as_str()), ("white-balance", "from"));
    assert!(window.query_by_label("degree").is_some());
}

#[test]
fn numbers_typed_at_a_carriage_go_to_its_scale() {
    let mut window = two().window();
    first(&window, "exposure").focus();
    window.step();
    write(&mut window, "+1/4");
    assert_eq!(window.state().shown("exposure", "stops"), "0.25");
    assert_eq!(window.state().kept("exposure", "stops"), "0");
    press(&mut window, Modifiers::NONE, &[Key::Enter]);
    assert_eq!(window.state().kept("exposure", "stops"), "0.25");
    assert_eq!(window.state().bench.entry, "");
}

#[test]
fn a_siding_shows_on_a_track_of_its_own_and_leaves_the_picture() {
    let mut window = two().opened("adaptation", 1).window();
    window.get_by_label_contains("siding past it").click();
    (0..3).for_each(|_| window.step());
    first(&window, "contrast: ").click_accesskit();
    (0..3).for_each(|_| window.step());
    let order = window.state().order("adaptation");
    assert!(order.contains(&"mix-2".to_string()) || order.contains(&"mix".to_string()), "{order:?}");
    let (siding, rail) = (place(&window, "contrast"), place(&window, "exposure"));
    assert!(siding.top() > rail.bottom(), "{siding:?} {rail:?}");
}

#[test]
fn an_operation_is_put_behind_and_its_domain_chosen() {
    let mut window = two().opened("adaptation", 1).window();
    window.get_by_label_contains("put behind").click();
    (0..3).for_each(|_| window.step());
    first(&window, "contrast: ").click_accesskit();
    (0..3).for_each(|_| window.step());
    assert_eq!(
        window.state().order("adaptation"),
        ["input-transform", "exposure", "contrast", "white-balance", "output-transform"]
    );
    window.get_by_label_contains("works in scene").click();
    (0..3).for_each(|_| window.step());
    window.get_by_label("log").click_accesskit();
    (0..3).for_each(|_| window.step());
    assert!(place(&window, "exposure").width() > 0.0);
    let wiring = &window.state().bench.document().unwrap().candidates["adaptation"];
    assert_eq!(
        wiring.graph().node_weights().find(|place| place.member == "exposure").unwrap().domain,
        Some(ops::Domain::Log)
    );
}
