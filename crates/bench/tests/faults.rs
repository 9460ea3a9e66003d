//! What goes wrong under the window is shown, explained and survived: media that are away, files that are broken, pictures of
//! odd shapes, a device that is lost, projects with nothing in them. With real files, on the software adapter.
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::{Duration, Instant};

use bench::commands::COMMANDS;
use bench::pictures::{Outcome, Pictures};
use bench::state::{Action, Bench, Sheet};
use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use gpu::device::{AdapterChoice, Gpu};
use session::Project;
use session::file::Written;

/// A window's pictures on the software adapter; none where there is no such adapter and none is required.
fn pictures() -> Option<(Pictures, Arc<Gpu>)> {
    let Some(gpu) = Gpu::open(&AdapterChoice::parse("software")).unwrap() else {
        assert!(std::env::var("REQUIRE_GPU").is_err(), "REQUIRE_GPU=1, but there is no adapter");
        println!("left out: there is no software adapter");
        return None;
    };
    Some((Pictures::new(Arc::clone(&gpu), egui::Context::default()), gpu))
}

/// Waits for what becomes of the first tile.
fn wait_for(pictures: &mut Pictures, bench: &Bench, what: &str, is: impl Fn(&Outcome) -> bool) -> Outcome {
    let until = Instant::now() + Duration::from_secs(120);
    loop {
        pictures.follow(bench);
        if let Some(outcome) = pictures.of(0).filter(|outcome| is(outcome)) {
            return outcome.clone();
        }
        assert!(Instant::now() < until, "{what}: {:?}", pictures.of(0).map(|outcome| &outcome.fault));
        std::thread::sleep(Duration::from_millis(5));
    }
}

/// A frame of so many pixels with a code for each.
fn write(path: &Path, [width, height]: [u32; 2]) {
    let layout = Layout::new(Channels::Rgb, Samples::Codes(16), ByteOrder::Little);
    let words = (0..width * height).flat_map(|at| {
        let code = (at * 131 % 65536) as u16;
        [code, code, code].into_iter().flat_map(u16::to_le_bytes)
    });
    let frame = Frame::new(Size::new(width, height), layout, words.collect(), 0).unwrap();
    std::fs::create_dir_all(path.parent().unwrap()).unwrap();
    media::write(path, &frame, &media::About::default()).unwrap();
}

/// A window on one shot, through a candidate that changes something.
fn window_on(folder: &Path, media: &str) -> Bench {
    let mut written = Written::default();
    for op in
        ops::Op::all().into_iter().filter(|op| ["input-transform", "exposure", "output-transform"].contains(&op.id()))
    {
        written.document.kit.insert(op.id().to_string(), op);
    }
    let order = ["input-transform", "exposure", "output-transform"].map(graph::Place::of);
    written.document.candidates.insert("plain".to_string(), graph::Wiring::linear(order));
    let shot = graph::Shot { media: media.to_string(), encoding: Some("LogC3".to_string()), ..graph::Shot::default() };
    written.document.shots.insert("deck_010".to_string(), shot);
    let mut project = Project::new(&folder.join("ferry.greywright"), written).unwrap();
    project.save().unwrap();
    Bench::of(project)
}

fn frame_path(folder: &Path, number: u32) -> PathBuf {
    folder.join(format!("deck/deck.{number:04}.png"))
}

/// Four frames in a folder below.
fn sequence(folder: &Path) -> Bench {
    (1..=4).for_each(|number| write(&frame_path(folder, number), [32, 18]));
    window_on(folder, "deck/deck.%04d.png")
}

fn is_shown(outcome: &Outcome) -> bool {
    outcome.shown.is_some() && outcome.fault.is_none()
}

#[test]
fn a_volume_that_goes_away_is_named_and_comes_back_by_itself() {
    let Some((mut pictures, _)) = pictures() else { return };
    let folder = tempfile::tempdir().unwrap();
    let mut bench = sequence(folder.path());
    let first = wait_for(&mut pictures, &bench, "a picture", is_shown).shown.unwrap();
    std::fs::rename(folder.path().join("deck"), folder.path().join("away")).unwrap();
    bench.apply(Action::Frame(3));
    let away = wait_for(&mut pictures, &bench, "a fault", |outcome| outcome.fault.is_some());
    let words = away.fault.unwrap();
    assert!(words.contains("deck.0003.png") && words.contains("Connect the volume"), "{words}");
    assert!(Arc::ptr_eq(&away.shown.unwrap().drawn, &first.drawn), "the last picture stays");
    // The folder is there again; nobody does anything in the window.
    std::fs::rename(folder.path().join("away"), folder.path().join("deck")).unwrap();
    let back = wait_for(&mut pictures, &bench, "the picture again", is_shown).shown.unwrap();
    assert_eq!(back.frame, 3);
}

#[test]
fn a_damaged_file_costs_its_own_frame() {
    let Some((mut pictures, _)) = pictures() else { return };
    let folder = tempfile::tempdir().unwrap();
    let mut bench = sequence(folder.path());
    let damaged = frame_path(folder.path(), 2);
    let bytes = std::fs::read(&damaged).unwrap();
    std::fs::write(&damaged, &bytes[..bytes.len() / 2]).unwrap();
    wait_for(&mut pictures, &bench, "the frame before", is_shown);
    bench.apply(Action::Frame(2));
    let fault = wait_for(&mut pictures, &bench, "a fault", |outcome| outcome.fault.is_some()).fault.unwrap();
    assert!(fault.contains("deck.0002.png"), "{fault}");
    bench.apply(Action::Frame(3));
    let after = wait_for(&mut pictures, &bench, "the frame behind", is_shown).shown.unwrap();
    assert_eq!((after.frame, after.span), (3, [1, 4]));
}

#[test]
fn pictures_of_one_pixel_and_of_the_widest_are_shown_whole() {
    for size in [[1, 1], [16384, 1], [16384, 16], [1, 4096]] {
        let Some((mut pictures, _)) = pictures() else { return };
        let folder = tempfile::tempdir().unwrap();
        write(&folder.path().join("odd.png"), size);
        let mut bench = window_on(folder.path(), "odd.png");
        let shown = wait_for(&mut pictures, &bench, "a picture", is_shown).shown.unwrap();
        assert_eq!(shown.size(), Size::new(size[0], size[1]));
        let codes = shown.drawn.read().unwrap().to_codes().unwrap();
        assert_eq!(codes.len() as u32, size[0] * size[1]);
        // The ramp of codes is a ramp on the display, to the last column.
        let at = |index: usize| codes[index.min(codes.len() - 1)][1];
        assert!(codes.len() < 400 || at(390) > at(100), "{size:?}: {} and {}", at(100), at(390));
        assert!(codes.len() < 16000 || codes[15900..16000].iter().any(|code| code[1] > 0), "{size:?}");
        // The whole window is drawn with it, however it is aimed at.
        wait_for(&mut pictures, &bench, "traces", |outcome| outcome.traces.is_some());
        bench.apply(Action::Zoom(bench::state::Zoom::Times(64.0)));
        let mut window = ferry::window_with(bench, pictures, [1280.0, 800.0], 1.0);
        window.run_steps(3);
    }
}

#[test]
fn a_lost_device_costs_no_picture() {
    let Some((mut pictures, gpu)) = pictures() else { return };
    let folder = tempfile::tempdir().unwrap();
    let mut bench = sequence(folder.path());
    let first = wait_for(&mut pictures, &bench, "a picture", is_shown).shown.unwrap();
    let before = first.drawn.read().unwrap();
    gpu.lose();
    bench.apply(Action::Frame(1));
    let again = wait_for(&mut pictures, &bench, "a picture on another device", |outcome| {
        is_shown(outcome) && outcome.shown.as_ref().is_some_and(|shown| !Arc::ptr_eq(shown.drawn.gpu(), &gpu))
    });
    assert_eq!(again.shown.unwrap().drawn.read().unwrap().bytes(), before.bytes());
    wait_for(&mut pictures, &bench, "its traces", |outcome| outcome.traces.is_some());
}

#[test]
fn media_that_never_were_are_explained() {
    let Some((mut pictures, _)) = pictures() else { return };
    let folder = tempfile::tempdir().unwrap();
    let bench = window_on(folder.path(), "nowhere/deck.%04d.dpx");
    let outcome = wait_for(&mut pictures, &bench, "a fault", |outcome| outcome.fault.is_some());
    let words = outcome.fault.unwrap();
    assert!(words.contains("nowhere") && words.contains("Connect the volume"), "{words}");
    assert!(outcome.shown.is_none());
    // All of it can be gone through without a picture.
    let mut window = ferry::window_with(bench, pictures, [1280.0, 800.0], 1.0);
    window.run_steps(3);
}

#[test]
fn every_command_can_be_tried_on_an_empty_project_and_on_none() {
    let folder = tempfile::tempdir().unwrap();
    let empty = || Bench::of(Project::new(&folder.path().join("empty.greywright"), Written::default()).unwrap());
    let states: [&dyn Fn() -> Bench; 2] = [&empty, &Bench::default];
    for state in states {
        let mut window = ferry::window(state(), [1280.0, 800.0], 1.0);
        for command in COMMANDS {
            let action = (command.action)(&window.state().0);
            if let Some(action) = action {
                window.state_mut().0.apply(action);
                window.run_steps(2);
            }
            let bench = &mut window.state_mut().0;
            bench.closing = false;
            if bench.sheet != Some(Sheet::Recovery) {
                bench.apply(Action::Lay(None));
            }
        }
    }
}
