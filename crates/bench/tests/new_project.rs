//! A project is made of a folder of originals: found, shown for confirmation, changed, written.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use std::path::{Path, PathBuf};

use bench::state::{Action, Bench, OnOriginals, Sheet};
use colour::CodeRange;
use egui::Key;
use egui_kittest::kittest::Queryable as _;
use session::originals::look;

/// The demo's frames without its project.
fn originals() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let path = folder.path().join("night ferry");
    let settings = demo::Settings {
        size: demo::Settings::SMALLEST,
        frames: 4,
        shots: ["deck_010", "galley_010", "wheelhouse_010"].map(str::to_owned).to_vec(),
        truth: demo::TruthPictures::First,
        faults: false,
        ..demo::Settings::default()
    };
    demo::write(&path, &settings, &|_, _| true).unwrap();
    std::fs::remove_file(path.join(demo::PROJECT_NAME)).unwrap();
    (folder, path)
}

fn seen(path: &Path) -> Bench {
    let mut bench = Bench::default();
    bench.apply(Action::Open(path.to_owned()));
    assert_eq!(bench.sheet, Some(Sheet::NewProject), "{:?}", bench.message);
    let found = look(&bench.originals.as_ref().unwrap().folder, &|| true).map_err(|fault| fault.to_string());
    bench.apply(Action::Originals(OnOriginals::Seen(found)));
    bench
}

fn projects(path: &Path) -> usize {
    let entries = std::fs::read_dir(path).unwrap().flatten();
    entries.filter(|entry| entry.path().extension().is_some_and(|ending| ending == "greywright")).count()
}

#[test]
fn shots_are_found_with_their_encodings_and_reasons() {
    let (_kept, path) = originals();
    // One is damaged in its first frame, another one is no picture at all.
    std::fs::create_dir(path.join("empty")).unwrap();
    std::fs::write(path.join("empty/note.dpx"), "no picture").unwrap();
    std::fs::create_dir_all(path.join("later/again")).unwrap();
    std::fs::copy(path.join("deck_010/deck_010.0001.dpx"), path.join("later/again/deck_010.0001.dpx")).unwrap();
    let found = look(&path, &|| true).unwrap();
    assert_eq!(found.refused.len(), 1, "{:?}", found.refused);
    assert!(found.refused[0].contains("note.dpx"), "{:?}", found.refused);
    // The demo's truth lies beside, and is no shot.
    assert_eq!(found.shots.len(), 4, "{:?}", found.shots);
    // Two that are called alike are told apart by their folders.
    let names: Vec<&str> = found.shots.iter().map(|shot| &shot.name[..]).collect();
    assert_eq!(names, ["again_deck_010", "deck_010", "galley_010", "wheelhouse_010"]);
    for shot in found.shots.iter().filter(|shot| shot.name != "again_deck_010") {
        assert_eq!((shot.frames, shot.span), (4, [1, 4]));
        assert_eq!((shot.size.width, shot.size.height), (160, 90));
        assert!(shot.missing.is_empty() && !shot.reason.is_empty(), "{shot:?}");
        // A guess goes by the darkest codes: the galley has blacks, the deck's are lifted by haze.
        assert!(shot.encoding.is_some() || shot.name != "galley_010", "{shot:?}");
        assert!(path.join(&shot.name).is_dir(), "{shot:?}");
    }
}

#[test]
fn nothing_is_written_before_it_is_made_and_then_the_project_is_open() {
    let (_kept, path) = originals();
    let mut bench = seen(&path);
    let shots = bench.originals.as_ref().unwrap().shots().to_vec();
    let mut changed = shots[0].clone();
    changed.encoding = Some("S-Log3".to_string());
    changed.range = Some(CodeRange::Legal);
    changed.name = "gangway".to_string();
    bench.apply(Action::Originals(OnOriginals::Change(0, changed)));
    bench.apply(Action::Originals(OnOriginals::LeaveOut(1)));
    assert_eq!(projects(&path), 0);
    bench.apply(Action::Originals(OnOriginals::Make));
    assert_eq!((projects(&path), bench.sheet.clone()), (1, None), "{:?}", bench.originals);
    let project = bench.project().unwrap();
    assert_eq!(project.path(), path.join("night ferry.greywright"));
    let document = project.document();
    assert_eq!(document.shots.len(), shots.len() - 1);
    let gangway = &document.shots["gangway"];
    assert_eq!((gangway.encoding.as_deref(), gangway.range), (Some("S-Log3"), Some(CodeRange::Legal)));
    assert_eq!(document.candidates.len(), 2);
    // Its media are found from where it lies.
    assert!(media::Sequence::open(&bench.media_of("gangway").unwrap()).is_ok());
}

#[test]
fn refusals_say_what_to_do_and_write_nothing() {
    let (_kept, path) = originals();
    let mut bench = seen(&path);
    let shots = bench.originals.as_ref().unwrap().shots().to_vec();
    let twice = session::originals::Found { name: shots[1].name.clone(), ..shots[0].clone() };
    bench.apply(Action::Originals(OnOriginals::Change(0, twice)));
    let refused = |bench: &mut Bench| {
        bench.apply(Action::Originals(OnOriginals::Make));
        assert_eq!(bench.sheet, Some(Sheet::NewProject));
        bench.originals.as_ref().unwrap().fault.clone().unwrap()
    };
    assert!(refused(&mut bench).contains("another name"));
    bench.apply(Action::Originals(OnOriginals::Change(0, shots[0].clone())));
    let there = path.join("there.greywright");
    std::fs::write(&there, "somebody's").unwrap();
    bench.apply(Action::Originals(OnOriginals::Path(there.display().to_string())));
    let words = refused(&mut bench);
    assert!(words.contains("there.greywright") && words.contains("choose another name"), "{words}");
    bench.apply(Action::Originals(OnOriginals::Path(path.join("no/folder/a").display().to_string())));
    assert!(refused(&mut bench).contains("a.greywright"));
    assert_eq!(std::fs::read_to_string(&there).unwrap(), "somebody's");
}

#[test]
fn rows_are_changed_by_keys() {
    let (_kept, path) = originals();
    let mut window = ferry::window(seen(&path), [1280.0, 800.0], 1.0);
    let encoding = |window: &egui_kittest::Harness<'static, (Bench, Vec<Action>)>| {
        window.state().0.originals.as_ref().unwrap().shots()[0].encoding.clone()
    };
    let before = encoding(&window);
    let name = window.state().0.originals.as_ref().unwrap().shots()[0].name.clone();
    let starts = format!("encoding of {name}");
    window.query_all_by(|node| node.label().is_some_and(|label| label.starts_with(&starts))).next().unwrap().focus();
    window.run_steps(2);
    window.key_press(Key::ArrowDown);
    window.run_steps(2);
    assert_ne!(encoding(&window), before);
    window.key_press(Key::ArrowUp);
    window.run_steps(2);
    assert_eq!(encoding(&window), before);
    let index = format!("exposure index of {name}");
    window.query_all_by(|node| node.label().is_some_and(|label| label == index)).next().unwrap().focus();
    window.run_steps(2);
    window.event(egui::Event::Text("1600".to_string()));
    window.run_steps(2);
    assert_eq!(window.state().0.originals.as_ref().unwrap().shots()[0].exposure_index, Some(1600));
}
