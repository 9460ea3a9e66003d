//! Every control of the strip: what comes out of it, and what that makes of the bench.

use egui::{Key, Modifiers, Pos2, Rect, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use session::playback::{Rate, Share, Tally};

use super::{Known, strip};
use crate::commands;
use crate::pictures::Played;
use crate::state::{Action, Bench, Ends, OnPlaying, Tile};

struct Rig {
    bench: Bench,
    log: Vec<Action>,
    played: Option<Played>,
}

type Window = Harness<'static, Rig>;

/// The strip on a shot of frames 1 to 41, standing on 11.
fn window() -> Window {
    let mut bench = Bench::default();
    bench.wall.tiles = vec![Tile { shot: Some("galley".to_string()), ..Tile::default() }];
    bench.apply(Action::Playing(OnPlaying::Span("galley".to_string(), [1, 41])));
    bench.apply(Action::Frame(11));
    let draw = |ui: &mut egui::Ui, rig: &mut Rig| {
        let mut actions = Vec::new();
        commands::keys(ui, &rig.bench, &mut actions);
        strip(ui, &rig.bench, Known { shown: None, played: rig.played.as_ref() }, &mut actions);
        for action in actions {
            rig.log.push(action.clone());
            rig.bench.apply(action);
        }
    };
    let builder = Harness::builder().with_size(vec2(1280.0, 40.0)).with_context_setup(crate::look::dress);
    let mut window = builder.build_ui_state(draw, Rig { bench, log: Vec::new(), played: None });
    window.run_steps(2);
    window
}

fn place(window: &Window, name: &str) -> Rect {
    window.get_by_label(name).rect()
}

fn press(window: &mut Window, name: &str) {
    window.get_by_label(name).click();
    window.run_steps(2);
}

fn key(window: &mut Window, modifiers: Modifiers, key: Key) {
    window.key_press_modifiers(modifiers, key);
    window.run_steps(2);
}

fn last(window: &Window) -> Option<&OnPlaying> {
    match window.state().log.last() {
        Some(Action::Playing(action)) => Some(action),
        _ => None,
    }
}

/// Where a frame stands on the bar.
fn on_bar(window: &Window, frame: i64) -> Pos2 {
    let bar = place(window, "frame");
    bar.left_center() + vec2(bar.width() * (frame - 1) as f32 / 40.0, 0.0)
}

#[test]
fn what_is_pressed_is_asked_for() {
    let mut window = window();
    for (name, action) in [
        ("play from this frame on", OnPlaying::Play(true)),
        ("stop on this frame", OnPlaying::Play(false)),
        ("one frame on", OnPlaying::Step(1)),
        ("one frame back", OnPlaying::Step(-1)),
        ("play backward", OnPlaying::Backward(true)),
        ("play backward", OnPlaying::Backward(false)),
        ("go on at the other end", OnPlaying::Loop(true)),
        ("set in on this frame", OnPlaying::In(Some(11))),
        ("set out on this frame", OnPlaying::Out(Some(11))),
        ("in is 11; take it away", OnPlaying::In(None)),
        ("out is 11; take it away", OnPlaying::Out(None)),
    ] {
        press(&mut window, name);
        assert_eq!(last(&window), Some(&action), "{name}");
    }
    assert_eq!((window.state().bench.frame, window.state().bench.playing.looped), (11, true));
}

#[test]
fn keys_do_the_same_and_more() {
    let mut window = window();
    let none = Modifiers::NONE;
    for (modifiers, pressed, action) in [
        (none, Key::Space, OnPlaying::Play(true)),
        (none, Key::Space, OnPlaying::Play(false)),
        (none, Key::Period, OnPlaying::Step(1)),
        (none, Key::Comma, OnPlaying::Step(-1)),
        (none, Key::G, OnPlaying::Backward(true)),
        (Modifiers::SHIFT, Key::G, OnPlaying::Loop(true)),
        (none, Key::I, OnPlaying::In(Some(11))),
        (none, Key::End, OnPlaying::Go(41)),
        (none, Key::O, OnPlaying::Out(Some(41))),
        (Modifiers::SHIFT, Key::Home, OnPlaying::Go(11)),
        (none, Key::Home, OnPlaying::Go(1)),
        (Modifiers::SHIFT, Key::End, OnPlaying::Go(41)),
        (Modifiers::SHIFT, Key::I, OnPlaying::In(None)),
        (Modifiers::SHIFT, Key::O, OnPlaying::Out(None)),
    ] {
        key(&mut window, modifiers, pressed);
        assert_eq!(last(&window), Some(&action), "{pressed:?}");
    }
    // At the end there is no frame to step on to.
    key(&mut window, none, Key::Period);
    assert_eq!(window.state().bench.frame, 41);
    // Space plays, whatever was pressed last and has the keys.
    window.get_by_label("go on at the other end").focus();
    window.run_steps(2);
    let looped = window.state().bench.playing.looped;
    key(&mut window, none, Key::Space);
    assert_eq!((last(&window), window.state().bench.playing.looped), (Some(&OnPlaying::Play(true)), looped));
    key(&mut window, none, Key::Enter);
    assert_ne!(window.state().bench.playing.looped, looped);
}

#[test]
fn a_press_on_the_bar_goes_there_and_plays_nothing() {
    let mut window = window();
    let there = on_bar(&window, 31);
    window.hover_at(there);
    window.drag_at(there);
    window.run_steps(2);
    window.drop_at(there);
    window.run_steps(2);
    let asked: Vec<_> = window.state().log.clone();
    assert_eq!(asked, [Action::Playing(OnPlaying::Go(31))]);
    assert_eq!(window.state().bench.frame, 31);
}

#[test]
fn the_play_head_is_drawn_and_let_go() {
    let mut window = window();
    let (from, to) = (on_bar(&window, 11), on_bar(&window, 21));
    window.hover_at(from);
    window.drag_at(from);
    window.run_steps(2);
    window.hover_at(to);
    window.run_steps(2);
    assert_eq!(last(&window), Some(&OnPlaying::Scrub(21)));
    assert!(window.state().bench.playing.scrubs && window.state().bench.frame == 21);
    let before = window.state().log.len();
    window.run_steps(3);
    assert_eq!(window.state().log.len(), before, "what is held still asks for nothing");
    window.drop_at(to);
    window.run_steps(3);
    assert_eq!(last(&window), Some(&OnPlaying::LetGo));
    assert_eq!((window.state().bench.playing.scrubs, window.state().bench.frame), (false, 21));
}

#[test]
fn in_and_out_are_drawn_along_the_bar_and_moved_by_arrows() {
    let mut window = window();
    let to = on_bar(&window, 6);
    let from = place(&window, "in").center();
    window.hover_at(from);
    window.drag_at(from);
    window.run_steps(2);
    window.hover_at(to);
    window.run_steps(2);
    window.drop_at(to);
    window.run_steps(2);
    assert_eq!(window.state().bench.ends(), Ends { first: Some(6), last: None });
    assert_eq!(window.state().bench.frame, 11, "the play head stays");
    window.get_by_label("out").focus();
    window.run_steps(2);
    key(&mut window, Modifiers::NONE, Key::ArrowLeft);
    key(&mut window, Modifiers::SHIFT, Key::ArrowLeft);
    assert_eq!(window.state().bench.ends(), Ends { first: Some(6), last: Some(30) });
    key(&mut window, Modifiers::SHIFT, Key::ArrowRight);
    key(&mut window, Modifiers::NONE, Key::ArrowRight);
    assert_eq!(window.state().bench.ends(), Ends { first: Some(6), last: None }, "at the last frame it is none");
    window.get_by_label("frame").focus();
    window.run_steps(2);
    key(&mut window, Modifiers::NONE, Key::ArrowRight);
    assert_eq!((last(&window), window.state().bench.frame), (Some(&OnPlaying::Step(1)), 12));
}

#[test]
fn how_play_goes_is_said_in_words() {
    let mut window = window();
    let mut tally = Tally::default();
    (tally.shown, tally.dropped) = (237, 3);
    let rate = Rate::new(25, 1).unwrap();
    let played = Played {
        rate,
        is_said: true,
        share: Share::Half,
        tally,
        at_hand: vec![1..=9, 20..=22],
        stages: Vec::new(),
        limit: "",
    };
    window.state_mut().played = Some(played);
    window.run_steps(2);
    let said: Vec<String> =
        window.root().children_recursive().filter_map(|node| node.accesskit_node().value()).collect();
    let said = said.join("; ");
    for words in ["frame 11", "3 dropped of 240", "25 a second"] {
        assert!(said.contains(words), "no '{words}' in {said}");
    }
}

#[test]
fn a_shot_whose_files_were_not_seen_has_no_bar() {
    let mut window = window();
    window.state_mut().bench.wall.tiles[0].shot = Some("deck".to_string());
    window.run_steps(2);
    assert!(window.query_by_label("frame").is_none());
    assert!(window.query_by_label("play from this frame on").is_some());
}
