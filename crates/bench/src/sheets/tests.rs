//! What a tile shows, pictures from outside and the monitor's profile, by keys and pointer: what is asked for comes first.

use std::path::Path;

use egui::accesskit::Role;
use egui::{Event, Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

use crate::pictures::Pictures;
use crate::rig::Rig;
use crate::shell;
use crate::state::{Action, Bench, OnSecond, Sheet, Tap};

struct Window {
    rig: Rig,
    asked: Vec<Action>,
}

fn window(width: f32, height: f32) -> Harness<'static, Window> {
    let rig = Rig::new(&[("one", &["exposure", "contrast"]), ("two", &["saturation"])]);
    let pictures = Pictures::none();
    let builder = Harness::builder().with_size(vec2(width, height)).with_context_setup(crate::look::dress);
    let mut harness = builder.build_ui_state(
        move |ui, window: &mut Window| {
            let mut actions = Vec::new();
            shell::show(ui, &window.rig.bench, &pictures, &mut actions);
            for action in actions {
                window.asked.push(action.clone());
                window.rig.bench.apply(action);
            }
        },
        Window { rig, asked: Vec::new() },
    );
    settle(&mut harness);
    harness
}

fn settle(harness: &mut Harness<'_, Window>) {
    (0..4).for_each(|_| harness.step());
}

fn bench<'a>(harness: &'a Harness<'_, Window>) -> &'a Bench {
    &harness.state().rig.bench
}

fn press(harness: &mut Harness<'_, Window>, key: Key) -> Vec<Action> {
    harness.state_mut().asked.clear();
    harness.key_press(key);
    settle(harness);
    harness.state().asked.clone()
}

fn click(harness: &mut Harness<'_, Window>, name: &str) -> Vec<Action> {
    harness.state_mut().asked.clear();
    // What is shown already says so behind its name.
    let shown = format!("{name} shown");
    let is_meant = |label: String| label == name || label == shown;
    let node = harness.get_by(|node| node.role() == Role::Button && node.label().is_some_and(is_meant));
    node.click();
    settle(harness);
    harness.state().asked.clone()
}

fn write(harness: &mut Harness<'_, Window>, text: &Path) {
    harness.event(Event::Text(text.display().to_string()));
    settle(harness);
}

#[test]
fn any_shot_candidate_and_place_is_chosen_in_the_tile_whose_line_is_pressed() {
    let mut harness = window(1280.0, 800.0);
    let asked = click(&mut harness, "tile 2: choose what it shows");
    assert_eq!(asked, [Action::Activate(1), Action::Lay(Some(Sheet::Tile))]);
    for (name, check) in [
        ("deck_010", (|bench| bench.wall.tiles[1].shot.as_deref() == Some("deck_010")) as fn(&Bench) -> bool),
        ("one", |bench| bench.wall.tiles[1].candidate.as_deref() == Some("one")),
        ("behind exposure", |bench| matches!(bench.wall.tiles[1].tap, Tap::After(_))),
        ("the original", |bench| bench.wall.tiles[1].tap == Tap::Original),
        ("two", |bench| bench.wall.tiles[1].candidate.as_deref() == Some("two")),
        ("the result", |bench| bench.wall.tiles[1].tap == Tap::Result),
        ("the shot's own: none chosen, so the first", |bench| bench.wall.tiles[1].candidate.is_none()),
    ] {
        let asked = click(&mut harness, name);
        assert!(matches!(asked[..], [Action::Tile(1, _)]), "{name}: {asked:?}");
        assert!(check(bench(&harness)), "{name}: {:?}", bench(&harness).wall.tiles[1]);
    }
    assert_eq!(bench(&harness).wall.tiles[0].shot.as_deref(), Some("galley_010"));
    press(&mut harness, Key::Escape);
    assert!(bench(&harness).sheet.is_none());
    // By keys: the first list has them at once.
    assert_eq!(press(&mut harness, Key::E), [Action::Lay(Some(Sheet::Tile))]);
    let asked = press(&mut harness, Key::Enter);
    assert!(matches!(asked[..], [Action::Tile(1, _)]), "{asked:?}");
}

#[test]
fn the_ends_of_the_cut_say_that_there_is_no_shot() {
    let mut harness = window(1600.0, 1000.0);
    assert_eq!(press(&mut harness, Key::J), [Action::Around(true)]);
    harness.get_by_role_and_label(Role::Image, "tile 3: no shot after");
    assert_eq!(press(&mut harness, Key::PageUp), [Action::Shot(-1)]);
    harness.get_by_role_and_label(Role::Image, "tile 1: no shot before");
    harness.get_by_role_and_label(Role::Image, "tile 2: deck_010 through one");
    harness.get_by_role_and_label(Role::Image, "tile 3: galley_010 through one");
    assert_eq!(press(&mut harness, Key::J), [Action::Around(false)]);
    harness.get_by_role_and_label(Role::Image, "tile 2: deck_010 through two");
}

#[test]
fn a_picture_from_outside_is_typed_named_and_taken_away() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("print.png");
    std::fs::write(&path, b"").unwrap();
    let mut harness = window(1280.0, 800.0);
    harness
        .state_mut()
        .rig
        .bench
        .apply(Action::Lay(Some(Sheet::Outside { typed: String::new(), encoding: "sRGB".into() })));
    settle(&mut harness);
    write(&mut harness, &folder.path().join("pri"));
    let asked = click(&mut harness, "print.png");
    assert_eq!(asked, [Action::Outside(0, Some((path, "sRGB".into())))]);
    assert!(bench(&harness).sheet.is_none());
    harness.get_by_role_and_label(Role::Image, "tile 1: outside picture print.png");
    // Shots go on under it, and it stays.
    press(&mut harness, Key::PageUp);
    harness.get_by_role_and_label(Role::Image, "tile 1: outside picture print.png");
    let back = crate::wall::keys::inside(bench(&harness)).unwrap();
    assert_eq!(back, Action::Outside(0, None));
    harness.state_mut().rig.bench.apply(back);
    settle(&mut harness);
    harness.get_by_role_and_label(Role::Image, "tile 1: deck_010 through one");
}

#[test]
fn a_profile_is_typed_and_one_beside_the_project_is_offered() {
    let desk = "name = \"left of the desk\"\nprimaries = \"P3-D65\"\nwhite = \"kept\"\neotf = \"gamma 2.4\"\n\
                peak_nits = 120\nblack_nits = 0.03\n";
    let mut harness = window(1280.0, 800.0);
    let project = bench(&harness).project().unwrap().folder();
    let path = project.join("desk.toml");
    std::fs::write(&path, desk).unwrap();
    std::fs::write(project.join("other.toml"), "a = 1").unwrap();
    harness.state_mut().rig.bench.apply(Action::Lay(Some(Sheet::Monitor { typed: String::new() })));
    settle(&mut harness);
    let offered = path.display().to_string();
    assert_eq!(harness.query_all_by(|node| node.label().is_some_and(|label| label.ends_with(".toml"))).count(), 1);
    let chosen = Action::Second(OnSecond::Profile(Some(path.clone())));
    assert_eq!(click(&mut harness, &offered), std::slice::from_ref(&chosen));
    assert_eq!(bench(&harness).second.monitor().unwrap().name, "left of the desk");
    // Another one that is no profile is refused where it was typed.
    harness.state_mut().rig.bench.apply(Action::Lay(Some(Sheet::Monitor { typed: String::new() })));
    settle(&mut harness);
    write(&mut harness, &project.join("other.toml"));
    press(&mut harness, Key::Enter);
    assert!(bench(&harness).sheet.is_some() && bench(&harness).message.as_ref().is_some_and(|message| message.wrong));
    let plain = click(&mut harness, "codes as they are");
    assert_eq!(plain, [Action::Second(OnSecond::Profile(None))]);
}

#[test]
fn the_head_line_is_short_where_room_is() {
    for (width, words) in [(1600.0, "8-bit surface: steps of one code may be the screen's"), (1280.0, "8-bit surface")]
    {
        let mut harness = window(width, 800.0);
        harness.state_mut().rig.bench.surface_bits = Some(8);
        settle(&mut harness);
        harness.get_by_label(words);
        harness.state_mut().rig.bench.surface_bits = Some(10);
        settle(&mut harness);
        assert!(harness.query_by_label(words).is_none());
    }
}
