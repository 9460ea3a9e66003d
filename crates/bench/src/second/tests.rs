//! The second window's keys and words; its pixels are those of the pass that draws on windows, which has tests of its own.

use egui::accesskit::Role;
use egui::{Key, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;

use super::*;
use crate::state::OnSecond;

const DESK: &str = "name = \"left of the desk\"\nprimaries = \"P3-D65\"\nwhite = \"kept\"\neotf = \"gamma 2.4\"\n\
                    peak_nits = 120\nblack_nits = 0.03\n";

fn window(bench: Bench) -> Harness<'static, (Bench, Vec<Action>)> {
    let pictures = Pictures::none();
    let builder = Harness::builder().with_size(vec2(800.0, 450.0)).with_context_setup(crate::look::dress);
    builder.build_ui_state(
        move |ui, (bench, asked): &mut (Bench, Vec<Action>)| {
            let mut actions = Vec::new();
            show(ui, bench, &pictures, None, &mut actions);
            for action in actions {
                asked.push(action.clone());
                bench.apply(action);
            }
        },
        (bench, Vec::new()),
    )
}

#[test]
fn keys_do_here_what_they_do_in_the_main_window() {
    let mut bench = Bench::default();
    bench.wall.tiles = vec![crate::state::Tile::default(); 2];
    bench.apply(Action::Second(OnSecond::Open(true)));
    let mut harness = window(bench);
    harness.key_press(Key::T);
    harness.run();
    assert_eq!(harness.state().1, [Action::Activate(1)]);
    harness.get_by_role_and_label(Role::Image, "no picture");
    harness.state_mut().0.apply(Action::Second(OnSecond::Page(true)));
    harness.run();
    harness.get_by_role_and_label(Role::Image, "set-up page of the monitor");
}

#[test]
fn it_is_said_what_its_picture_goes_through() {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("desk.toml");
    std::fs::write(&path, DESK).unwrap();
    let (mut bench, pictures) = (Bench::default(), Pictures::none());
    bench.wall.tiles = vec![crate::state::Tile::default()];
    assert_eq!(in_words(&bench, &pictures), None);
    let mut said = |action: OnSecond| {
        bench.apply(Action::Second(action));
        in_words(&bench, &pictures).unwrap()[0].clone()
    };
    assert_eq!(said(OnSecond::Open(true)), "no profile, codes as they are");
    assert_eq!(said(OnSecond::Profile(Some(path))), "through left of the desk");
    assert_eq!(said(OnSecond::Page(true)), "the set-up page, codes as they are");
    assert_eq!(said(OnSecond::Page(false)), "through left of the desk");
    bench.apply(Action::KeepPicture(true));
    assert!(in_words(&bench, &pictures).unwrap()[0].contains("kept"));
}
