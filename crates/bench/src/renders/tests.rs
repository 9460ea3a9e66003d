//! Renders aside, with real frames on whatever computes here.

use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

use session::queue::State;

use super::Renders;
use crate::pictures::Pictures;
use crate::state::{Action, Bench, OnRenders};

fn wait_for(what: &str, mut is: impl FnMut() -> bool) {
    let until = Instant::now() + Duration::from_secs(120);
    while !is() {
        assert!(Instant::now() < until, "{what}");
        std::thread::sleep(Duration::from_millis(10));
    }
}

/// The demo, small.
fn demo(folder: &Path) -> Bench {
    let settings = demo::Settings {
        size: demo::Settings::SMALLEST,
        frames: 6,
        shots: vec!["deck_010".to_owned()],
        truth: demo::TruthPictures::First,
        faults: false,
        ..demo::Settings::default()
    };
    demo::write(folder, &settings, &|_, _| true).unwrap();
    let mut bench = Bench::default();
    bench.apply(Action::Open(folder.join(demo::PROJECT_NAME)));
    assert!(bench.project().is_some(), "{:?}", bench.message);
    bench
}

fn files(folder: PathBuf) -> usize {
    std::fs::read_dir(folder).map_or(0, |entries| {
        entries.flatten().filter(|entry| entry.path().extension().is_some_and(|ending| ending == "dpx")).count()
    })
}

fn state(bench: &Bench) -> Vec<State> {
    bench.renders.seen.jobs.iter().map(|(job, _)| job.state).collect()
}

fn follow(renders: &Renders, bench: &mut Bench) {
    if let Some(seen) = renders.follow(bench) {
        bench.see(seen);
    }
}

#[test]
fn two_frames_are_rendered_aside() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = demo(folder.path());
    let renders = Renders::new(egui::Context::default(), Pictures::none().busy());
    bench.apply(Action::Renders(OnRenders::Frames("2-3".to_string())));
    bench.apply(Action::Renders(OnRenders::To("out/{shot}.%04d.dpx".to_string())));
    bench.apply(Action::Renders(OnRenders::Start));
    assert_eq!(state(&bench), [State::Waiting], "{:?}", bench.message);
    wait_for("a render", || {
        follow(&renders, &mut bench);
        state(&bench) == [State::Done]
    });
    assert_eq!(files(folder.path().join("out")), 2);
    let message = bench.message.clone().unwrap();
    assert!(!message.wrong && message.words.contains("is rendered"), "{message:?}");
    assert!(!bench.renders.is_working());
}

#[test]
fn a_render_that_fails_names_the_file_and_the_window_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = demo(folder.path());
    let shot = bench.shot().unwrap().to_string();
    let media = bench.media_of(&shot).unwrap();
    let broken = media.parent().unwrap().join(format!("{shot}.0002.dpx"));
    let bytes = std::fs::read(&broken).unwrap();
    std::fs::write(&broken, &bytes[..bytes.len() / 2]).unwrap();
    let renders = Renders::new(egui::Context::default(), Pictures::none().busy());
    bench.apply(Action::Renders(OnRenders::Start));
    wait_for("its end", || {
        follow(&renders, &mut bench);
        state(&bench) == [State::Failed]
    });
    let message = bench.message.clone().unwrap();
    assert!(message.wrong && message.words.contains(".0002.dpx"), "{message:?}");
    // The file is mended: the job goes again, and what was whole stays.
    std::fs::write(&broken, bytes).unwrap();
    bench.apply(Action::Renders(OnRenders::Go(vec![1])));
    wait_for("the second run", || {
        follow(&renders, &mut bench);
        state(&bench) == [State::Done]
    });
    let done = bench.renders.seen.jobs[0].0.done.clone().unwrap();
    assert_eq!((done.wanted, done.kept, done.written), (6, 5, 1));
}

#[test]
fn what_is_paused_waits_and_what_is_cancelled_is_gone() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = demo(folder.path());
    let renders = Renders::new(egui::Context::default(), Pictures::none().busy());
    // Before the thread hears of them.
    for to in ["a/{shot}.%04d.dpx", "b/{shot}.%04d.dpx"] {
        bench.apply(Action::Renders(OnRenders::To(to.to_string())));
        bench.apply(Action::Renders(OnRenders::Start));
    }
    bench.apply(Action::Renders(OnRenders::Pause(vec![1])));
    wait_for("the second one alone", || {
        follow(&renders, &mut bench);
        state(&bench) == [State::Paused, State::Done]
    });
    assert_eq!(files(folder.path().join("a")), 0);
    bench.apply(Action::Renders(OnRenders::TakeOut(vec![1])));
    assert_eq!(state(&bench), [State::Done]);
    // Nothing is taken that is not told to go, by a window that opens on the queue.
    let mut again = Bench::of(session::Project::open(bench.project().unwrap().path()).unwrap());
    let others = Renders::new(egui::Context::default(), Pictures::none().busy());
    wait_for("the list", || {
        follow(&others, &mut again);
        state(&again) == [State::Done]
    });
}

#[test]
fn closing_while_one_runs_asks() {
    let folder = tempfile::tempdir().unwrap();
    let mut bench = demo(folder.path());
    let mut seen = bench.renders.seen.clone();
    seen.working = Some(crate::state::Working { job: 1, done: 1, of: 6, seconds: 2.0 });
    bench.see(seen);
    bench.apply(Action::Close);
    assert_eq!((bench.closing, bench.sheet.clone()), (false, Some(crate::state::Sheet::Leaving)));
    bench.apply(Action::CloseAsItIs);
    assert!(bench.closing);
}
