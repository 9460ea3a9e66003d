//! What is done in the window is there again: after closing it, after the program died, after steps back.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use bench::state::{Action, Look, Sheet, Zoom};
use ferry::{Ferry, exposure, stops};

#[test]
fn a_window_stands_as_it_stood() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    let there = |bench: &bench::state::Bench| {
        (bench.wall.clone(), bench.frame, bench.chosen.clone(), bench.touched.clone(), bench.sheet.clone())
    };
    for action in [
        Action::AddTile,
        Action::Activate(2),
        Action::Choose(vec!["galley_010".to_string()]),
        Action::Look(Look::Zebra),
        Action::Zoom(Zoom::Times(2.0)),
        Action::Middle([0.25, 0.75]),
        Action::Frame(17),
    ] {
        bench.apply(action);
    }
    assert!(bench.is_to_be_kept());
    bench.keep().unwrap();
    assert!(!bench.is_to_be_kept());
    let stood = there(&bench);
    drop(bench);
    let again = ferry.bench();
    assert_eq!(there(&again), stood);
    assert_eq!(again.recent(), [std::fs::canonicalize(ferry.project()).unwrap()]);
}

#[test]
fn what_was_kept_names_no_shot_that_is_gone() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    bench.apply(Action::Choose(vec!["galley_010".to_string()]));
    bench.keep().unwrap();
    drop(bench);
    let text = std::fs::read_to_string(ferry.project()).unwrap();
    std::fs::write(ferry.project(), text.replace("galley_010", "galley_020")).unwrap();
    let again = ferry.bench();
    assert_eq!(again.shot(), Some("deck_010"));
    assert!(again.chosen.is_empty());
}

#[test]
fn work_of_a_program_that_died_is_offered_and_taken_up() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    bench.apply(Action::Edit(exposure("0.5")));
    bench.keep().unwrap();
    // Dying is not closing: nothing is saved and nothing tidied up.
    drop(bench);
    let mut again = ferry.bench();
    assert_eq!(again.sheet, Some(Sheet::Recovery));
    assert_eq!(stops(again.document().unwrap()), "0");
    again.apply(Action::TakeUp);
    assert_eq!((again.sheet.clone(), stops(again.document().unwrap())), (None, "0.5".to_string()));
    again.apply(Action::Save);
    drop(again);
    assert_eq!(stops(ferry.saved().document()), "0.5");
    assert_eq!(ferry.bench().sheet, None);
}

#[test]
fn work_that_is_left_is_left_for_good() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    bench.apply(Action::Edit(exposure("0.5")));
    bench.keep().unwrap();
    drop(bench);
    let mut again = ferry.bench();
    again.apply(Action::Leave);
    assert_eq!(again.sheet, None);
    drop(again);
    let last = ferry.bench();
    assert_eq!((last.sheet.clone(), stops(last.document().unwrap())), (None, "0".to_string()));
}

#[test]
fn any_step_can_be_gone_to() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    for value in ["0.5", "1", "1.5"] {
        bench.apply(Action::Edit(exposure(value)));
    }
    for (steps, value) in [(-2, "0.5"), (1, "1"), (-2, "0"), (3, "1.5"), (-9, "0")] {
        bench.apply(Action::Steps(steps));
        assert_eq!(stops(bench.document().unwrap()), value, "{steps}");
    }
    assert!(!bench.project().unwrap().is_changed());
}

#[test]
fn closing_asks_where_work_is_unsaved() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    bench.apply(Action::Close);
    assert!(bench.closing, "nothing to ask for");
    let mut bench = {
        drop(bench);
        ferry.bench()
    };
    bench.apply(Action::Edit(exposure("0.5")));
    bench.apply(Action::Close);
    assert_eq!((bench.closing, bench.sheet.clone()), (false, Some(Sheet::Leaving)));
    bench.apply(Action::SaveAndClose);
    assert!(bench.closing);
    drop(bench);
    assert_eq!(stops(ferry.saved().document()), "0.5");
}

#[test]
fn a_folder_means_its_project_and_no_project_changes_nothing() {
    let ferry = Ferry::new();
    let mut bench = ferry.bench();
    let empty = ferry.folder().join("empty");
    std::fs::create_dir(&empty).unwrap();
    bench.apply(Action::Open(empty));
    // It may be a folder of originals: that is looked into, and the project stays open.
    assert_eq!(bench.sheet, Some(Sheet::NewProject));
    assert!(bench.project().is_some());
    bench.apply(Action::Lay(None));
    let second = ferry.folder().join("second");
    std::fs::create_dir(&second).unwrap();
    std::fs::copy(ferry.project(), second.join("second.greywright")).unwrap();
    bench.apply(Action::Edit(exposure("0.5")));
    bench.apply(Action::Open(second.clone()));
    assert_eq!(bench.project().unwrap().path(), second.join("second.greywright"));
    drop(bench);
    assert_eq!(ferry.bench().sheet, Some(Sheet::Recovery), "what was unsaved waits beside its project");
}
