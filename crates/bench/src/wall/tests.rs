//! The wall by pointer and keys: what is asked for comes first, then what it makes of the state.

use std::sync::Arc;

use egui::accesskit::Role;
use egui::{Event, Key, Modifiers, PointerButton, Rect, pos2, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

use frame::Size;
use gpu::assemble::Trace;
use measure::Tap;
use measure::scopes::{
    Axis, Chromaticity, DARKEST, Diagram, Histogram, Region, Vectorscope, Waveform, WaveformOf, count,
};
use ops::Display;

use crate::pictures::{Counted, Outcome, Pictures, Traces};
use crate::shell;
use crate::state::{Action, Aim, Bench, Square, Tile, Wide, Zoom};

struct Window {
    bench: Bench,
    pictures: Pictures,
    asked: Vec<Action>,
    is_dressed: bool,
}

impl Window {
    fn draw(ui: &mut egui::Ui, window: &mut Window) {
        if !window.is_dressed {
            // The face of its text is there from the next frame on.
            crate::look::dress(ui.ctx());
            window.is_dressed = true;
            ui.ctx().request_repaint();
            return;
        }
        let mut actions = Vec::new();
        window.pictures.follow(&window.bench);
        shell::show(ui, &window.bench, &window.pictures, &mut actions);
        for action in actions {
            window.asked.push(action.clone());
            window.bench.apply(action);
        }
    }
}

fn window(tiles: usize) -> Harness<'static, Window> {
    let mut bench = Bench::default();
    bench.wall.tiles = vec![Tile::default(); tiles];
    bench.apply(Action::Activate(0));
    let window = Window { bench, pictures: Pictures::none(), asked: Vec::new(), is_dressed: false };
    let mut harness = Harness::builder().with_size(vec2(1600.0, 1000.0)).build_ui_state(Window::draw, window);
    harness.run();
    harness
}

fn press(harness: &mut Harness<'_, Window>, key: Key) -> Vec<Action> {
    harness.state_mut().asked.clear();
    harness.key_press(key);
    harness.run();
    harness.state().asked.clone()
}

#[test]
fn keys_zoom_by_powers_of_two_and_back_to_fit() {
    let mut harness = window(2);
    let wanted = [
        (Key::Num1, Zoom::Times(1.0)),
        (Key::CloseBracket, Zoom::Times(2.0)),
        (Key::CloseBracket, Zoom::Times(4.0)),
        (Key::OpenBracket, Zoom::Times(2.0)),
        (Key::Num9, Zoom::Times(48.0)),
        (Key::CloseBracket, Zoom::Times(64.0)),
        (Key::OpenBracket, Zoom::Times(32.0)),
        (Key::Num0, Zoom::Fit),
    ];
    for (key, zoom) in wanted {
        assert_eq!(press(&mut harness, key), [Action::Zoom(zoom)], "{key:?}");
        assert_eq!(harness.state().bench.wall.aim(1), Aim { zoom, middle: [0.5; 2] });
    }
}

#[test]
fn the_original_is_seen_for_as_long_as_its_key_is_held() {
    let mut harness = window(1);
    harness.key_down(super::HOLD);
    harness.run();
    assert!(harness.state().bench.wall.before);
    // A key that is held comes again and again.
    harness.key_down(super::HOLD);
    harness.run();
    assert_eq!(harness.state().asked, [Action::Before(true)]);
    harness.key_up(super::HOLD);
    harness.run();
    assert!(!harness.state().bench.wall.before);
    // A window that is left hears no release.
    harness.key_down(super::HOLD);
    harness.run();
    harness.event(Event::WindowFocused(false));
    harness.run();
    assert!(!harness.state().bench.wall.before);
}

#[test]
fn the_seam_is_dragged_and_moved_by_arrows() {
    let mut harness = window(2);
    assert_eq!(press(&mut harness, Key::W), [Action::Seam(Some(0.5))]);
    let rect = harness.get_by_role_and_label(Role::Slider, "seam, percent from the left").rect();
    assert!((rect.center().x - 800.0).abs() < 2.0, "{rect:?}");
    let from = rect.center();
    let button = |pos, pressed| Event::PointerButton {
        pos,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    harness.event(Event::PointerMoved(from));
    harness.event(button(from, true));
    harness.run();
    harness.event(Event::PointerMoved(pos2(400.0, from.y)));
    harness.run();
    harness.event(button(pos2(400.0, from.y), false));
    harness.run();
    let seam = harness.state().bench.wall.seam.unwrap();
    assert!((seam - 0.25).abs() < 0.005, "{seam}");
    harness.get_by_role_and_label(Role::Slider, "seam, percent from the left").focus();
    harness.run();
    press(&mut harness, Key::ArrowRight);
    let moved = harness.state().bench.wall.seam.unwrap();
    assert!((moved - seam - 0.01).abs() < 1e-4, "{moved}");
}

#[test]
fn every_tile_is_named_and_gets_the_keys_by_a_press() {
    let mut harness = window(4);
    for at in [3, 1, 0, 2] {
        harness.get_by_role_and_label(Role::Image, &format!("tile {}: no shot", at + 1)).click();
        harness.run();
        assert_eq!(harness.state().bench.wall.active, at);
    }
}

#[test]
fn the_scale_of_differences_is_there_and_has_an_end_that_is_set() {
    let mut harness = window(1);
    press(&mut harness, Key::D);
    assert!(harness.state().bench.message.as_ref().is_some_and(|message| message.wrong));
    let mut harness = window(2);
    assert_eq!(press(&mut harness, Key::D), [Action::Difference(true)]);
    let end = harness.get_by_role_and_label(Role::SpinButton, "10-bit codes of the largest channel");
    end.focus();
    harness.run();
    harness.key_press(Key::ArrowUp);
    harness.run();
    assert!(harness.state().bench.wall.difference_end > 64.0);
}

#[test]
fn traces_are_chosen_by_keys_and_come_round() {
    let mut harness = window(1);
    for wide in [Wide::Together, Wide::Parade, Wide::Histogram, Wide::Waveform] {
        assert_eq!(press(&mut harness, Key::Y), [Action::Wide(wide)]);
    }
    for square in [Square::Chromaticity, Square::Vectorscope] {
        assert_eq!(press(&mut harness, Key::V), [Action::Square(square)]);
    }
}

#[test]
fn a_picture_is_kept_and_let_go_by_one_key() {
    let mut harness = window(2);
    assert_eq!(press(&mut harness, Key::K), [Action::KeepPicture(true)]);
    assert!(harness.state().bench.wall.tiles[0].kept && !harness.state().bench.wall.tiles[1].kept);
    assert_eq!(press(&mut harness, Key::K), [Action::KeepPicture(false)]);
}

/// Counts of a small picture, for every pair of traces.
fn every_traces() -> Vec<Traces> {
    let size = Size::new(64, 48);
    let region = Region::whole(size).unwrap();
    let pixels: Vec<[f32; 4]> = (0..size.pixels()).map(|at| [at as f32 / 3072.0, 0.4, 0.2, 1.0]).collect();
    let signal = Tap::new(Display::Bt1886.signal(100.0, 0.0));
    let counted = |trace: Trace| {
        let counts = count(trace.scope(), &pixels, size, region, region).unwrap();
        Arc::new(Counted { trace, counts })
    };
    let axis = || Axis::signal(-0.1, 1.1, 256);
    let channels = || Trace::Waveform(Waveform::new(WaveformOf::Channels, axis(), 660, region));
    let wides = [
        (Wide::Waveform, Trace::Waveform(Waveform::new(WaveformOf::Luma([0.3, 0.6, 0.1]), axis(), 660, region))),
        (Wide::Together, channels()),
        (Wide::Parade, channels()),
        (Wide::Histogram, Trace::Histogram(Histogram { axis: axis() })),
    ];
    let squares = [
        (Square::Vectorscope, Trace::Vectorscope(Vectorscope::of_signal(signal.y_cb_cr(), 256))),
        (Square::Chromaticity, Trace::Chromaticity(Chromaticity::new(Diagram::Uv1976, &signal, DARKEST, 256))),
    ];
    let both = wides.iter().flat_map(|wide| squares.iter().map(move |square| (wide, square)));
    both.map(|((wide, trace), (square, other))| Traces {
        kinds: (*wide, *square),
        frame: 1,
        signal: signal.clone(),
        region,
        wide: counted(trace.clone()),
        square: Some(counted(other.clone())),
    })
    .collect()
}

/// What is painted of textures: traces.
fn painted<S>(harness: &Harness<'_, S>) -> Vec<Rect> {
    let shapes = harness.output().shapes.iter();
    shapes
        .filter(|shape| shape.shape.texture_id() != egui::TextureId::default())
        .map(|shape| shape.shape.visual_bounding_rect())
        .collect()
}

/// Every trace, of odd widths too, is drawn of what was counted: the worst that can happen here is a size that does not fit.
#[test]
fn every_trace_is_drawn_at_any_width() {
    for traces in every_traces() {
        let kinds = traces.kinds;
        let outcome = Outcome { traces: Some(traces), ..Outcome::default() };
        for width in [640.0, 641.0, 799.5, 120.0] {
            let mut is_dressed = false;
            let mut harness = Harness::builder().with_size(vec2(width, 160.0)).build_ui(|ui| {
                if std::mem::replace(&mut is_dressed, true) {
                    super::traces::show(ui, 0, &outcome, true, false);
                } else {
                    crate::look::dress(ui.ctx());
                    ui.ctx().request_repaint();
                }
            });
            harness.run();
            assert_eq!(painted(&harness).len(), 2, "{kinds:?} {width}");
        }
    }
}

/// Channels have a hue, and the eye must not take it for the picture's.
#[test]
fn traces_with_a_hue_keep_their_distance_from_every_picture() {
    let traces = every_traces().into_iter().find(|traces| traces.kinds.0 == Wide::Together).unwrap();
    let outcome = Outcome { traces: Some(traces), ..Outcome::default() };
    for (width, height, scale) in [(1600.0, 1000.0, 1.0), (1280.0, 800.0, 1.0), (1000.0, 640.0, 2.0)] {
        for tiles in 1..=4u64 {
            let mut bench = Bench::default();
            bench.wall.tiles = vec![Tile::default(); tiles as usize];
            bench.apply(Action::Activate(0));
            let outcomes = bench.wall.tiles.iter().map(|tile| (tile.number, outcome.clone())).collect();
            let pictures = Pictures::showing(outcomes);
            let window = Window { bench, pictures, asked: Vec::new(), is_dressed: false };
            let builder = Harness::builder().with_size(vec2(width, height)).with_pixels_per_point(scale);
            let mut harness = builder.build_ui_state(Window::draw, window);
            harness.run();
            let places: Vec<Rect> = harness.query_all_by_role(Role::Image).map(|node| node.rect()).collect();
            let traces = painted(&harness);
            assert_eq!((places.len(), traces.len()), (tiles as usize, 2 * tiles as usize));
            for (picture, trace) in places.iter().flat_map(|place| traces.iter().map(move |trace| (place, trace))) {
                let apart = trace.top() - picture.bottom();
                assert!(apart >= crate::look::HUE_APART, "{width}x{height}, {tiles} tiles: {apart}");
            }
        }
    }
}
