//! The whole program in a real window. Beside it the same window is kept in this process: it says where things stand that
//! are to be pressed, and what the project must be in the end. Needs the program, Xvfb and xdotool; where one is missing,
//! the test says so and is left out, or fails under `REQUIRE_WINDOW=1`. Pictures of each step lie under target/bench_window.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod display;
mod ferry;

use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::Instant;

use bench::pictures::Pictures;
use bench::state::{Action, Bench};
use display::{Real, Screen, wait_for};
use egui::{Key, Modifiers, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::{NodeT as _, Queryable as _};
use gpu::device::{AdapterChoice, Gpu};
use session::Project;

const SIZE: [u16; 2] = [1600, 1000];

type Window = Harness<'static, (Bench, Vec<Action>)>;

/// A window in this process, with pictures that say which frames there are.
fn here(bench: Bench) -> Window {
    let gpu = Gpu::open(&AdapterChoice::parse("software")).unwrap().unwrap();
    let pictures = Pictures::new(gpu, egui::Context::default());
    let mut window = ferry::window_with(bench, pictures, SIZE.map(f32::from), 1.0);
    wait_for("pictures in this process", || {
        window.run_steps(1);
        window.query_all_by(|node| node.label().is_some_and(|label| label.starts_with("frame"))).count() > 0
            || window.query_all_by(|node| node.value().is_some_and(|label| label.starts_with("frame"))).count() > 0
    });
    window
}

/// A real window and the same one here.
struct Both<'a> {
    real: Real<'a>,
    here: Window,
}

impl<'a> Both<'a> {
    /// The demo in a real window, and a copy of it in the one here, with their pictures.
    fn open(screen: &'a Screen, demo: &Demo) -> Self {
        let mut bench = Bench::default();
        bench.apply(Action::Open(demo.copy("beside")));
        let real = Real::open(screen, &[Path::new("bench"), &demo.project], &demo.home);
        let both = Self { real, here: here(bench) };
        both.pictures();
        both
    }

    /// Where a control stands, by how its name begins and what is in it.
    fn rect(&self, name: &str, within: &str) -> Rect {
        let is = |label: String| label.starts_with(name) && label.contains(within);
        let mut found = self.here.query_all_by(move |node| node.label().is_some_and(is));
        let rect = found.next().map(|node| node.rect());
        rect.unwrap_or_else(|| {
            let all = self.here.query_all_by(|node| node.label().is_some());
            let all: Vec<_> = all.filter_map(|node| node.accesskit_node().label()).collect();
            panic!("there is no {name:?} among {all:?}")
        })
    }

    fn place(&self, name: &str, within: &str) -> egui::Pos2 {
        // The hand of the real window goes by whole pixels.
        self.rect(name, within).center().round()
    }

    fn point(&mut self, place: egui::Pos2) {
        self.real.point(place);
        self.here.hover_at(place);
        self.here.run_steps(2);
    }

    fn hold(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.button("mousedown");
        self.here.drag_at(place);
        self.here.run_steps(2);
    }

    fn let_go(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.button("mouseup");
        self.here.drop_at(place);
        self.here.run_steps(3);
    }

    /// Takes something from one place to another.
    fn drag(&mut self, from: egui::Pos2, to: egui::Pos2) {
        self.hold(from);
        self.point(to);
        self.let_go(to);
    }

    /// Presses a control.
    fn press(&mut self, name: &str, within: &str) {
        let place = self.place(name, within);
        self.click(place);
    }

    /// Down and up at once: what is held for long is no click.
    fn click(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.button("click");
        self.here.drag_at(place);
        self.here.drop_at(place);
        self.here.run_steps(3);
    }

    /// White before exposure, by the hand.
    fn white_first(&mut self) {
        let (white, exposure) = (self.place("white", "adaptation"), self.place("exposure", "adaptation"));
        self.drag(white, (exposure - egui::vec2(20.0, 0.0)).round());
    }

    fn key(&mut self, keys: &str, modifiers: Modifiers, key: Key) {
        self.real.key(keys);
        self.here.key_press_modifiers(modifiers, key);
        self.here.run_steps(3);
    }

    /// Types into the line at the bottom, and keeps it.
    fn entry(&mut self, text: &str) {
        let line = {
            let found = self.here.query_all_by(|node| node.role() == egui::accesskit::Role::TextInput);
            let lowest = found.max_by(|a, b| a.rect().top().total_cmp(&b.rect().top()));
            lowest.unwrap().rect().center().round()
        };
        self.click(line);
        self.real.write(text);
        self.here.event(egui::Event::Text(text.to_string()));
        self.here.run_steps(2);
        self.key("Return", Modifiers::NONE, Key::Enter);
    }

    /// Waits until a picture is seen on each tile of the real window.
    fn pictures(&self) {
        for tile in ["tile 1", "tile 2"] {
            let rect = self.rect(tile, "");
            let middle = Rect::from_center_size(rect.center(), egui::vec2(60.0, 40.0));
            self.real.sees(tile, middle, is_picture);
        }
    }

    fn text_here(&self) -> String {
        self.here.state().0.project().unwrap().text()
    }
}

/// Grounds are black or one grey; a picture has many codes.
fn is_picture(codes: &[u8]) -> bool {
    let mut seen = [false; 256];
    codes.iter().for_each(|code| seen[usize::from(*code)] = true);
    seen.iter().filter(|seen| **seen).count() > 8
}

/// The only file in the folder of how windows stood.
fn standing(home: &Path) -> String {
    let folder = home.join("greywright/windows");
    let files = fs::read_dir(folder).into_iter().flatten().flatten();
    files.map(|file| fs::read_to_string(file.path()).unwrap()).collect()
}

/// The demo, small, and an empty home.
struct Demo {
    folder: tempfile::TempDir,
    home: PathBuf,
    project: PathBuf,
    /// What the project holds at first.
    first: String,
}

impl Demo {
    fn new() -> Self {
        let folder = tempfile::tempdir().unwrap();
        let (demo, home) = (folder.path().join("demo"), folder.path().join("home"));
        fs::create_dir(&home).unwrap();
        let program = display::program().unwrap();
        let quick =
            "demo --size 320x180 --frames 4 --shots deck_010,galley_010,wheelhouse_010 --truth first --no-faults";
        let written = Command::new(program).args(quick.split(' ')).arg(&demo).output().unwrap();
        assert!(written.status.success(), "{}", String::from_utf8_lossy(&written.stderr));
        let project = demo.join("night_ferry.greywright");
        // Its probes are left away: these tests place their own.
        fs::remove_file(session::beside::Beside::path(&project)).unwrap();
        let first = fs::read_to_string(&project).unwrap();
        Self { folder, home, project, first }
    }

    /// Another copy of the project as it was at first, with the same originals: two windows cannot write one.
    fn copy(&self, name: &str) -> PathBuf {
        let copy = self.folder.path().join(name);
        fs::create_dir(&copy).unwrap();
        for entry in fs::read_dir(self.project.parent().unwrap()).unwrap().flatten() {
            if entry.path().is_dir() {
                std::os::unix::fs::symlink(entry.path(), copy.join(entry.file_name())).unwrap();
            }
        }
        fs::write(copy.join("night_ferry.greywright"), &self.first).unwrap();
        copy
    }
}

#[test]
fn the_demo_is_worked_on_closed_and_found_again() {
    if !display::is_possible() {
        return;
    }
    let demo = Demo::new();
    let Demo { home, project, first, .. } = &demo;
    let screen = Screen::new(SIZE, "bench_window");
    let mut both = Both::open(&screen, &demo);
    screen.keep("1 opened");

    both.white_first();
    screen.keep("2 white before exposure");
    // Numbers by typing: a scale is touched, then the line typed in.
    both.press("exposure", "adaptation");
    both.press("stops", "");
    both.entry("+1/3");
    screen.keep("3 exposure a third of a stop up");
    both.press("white", "adaptation");
    both.press("from", "");
    both.entry("-12m");
    screen.keep("4 white twelve mired down");
    both.key("Escape", Modifiers::NONE, Key::Escape);

    // A probe in the middle of the picture.
    both.key("p", Modifiers::NONE, Key::P);
    both.key("Return", Modifiers::NONE, Key::Enter);
    screen.keep("5 a probe");
    let probes = |project: &Path| session::beside::Beside::read(project).unwrap().probes;
    let placed = probes(both.here.state().0.project().unwrap().path());
    assert_eq!(placed.values().map(Vec::len).sum::<usize>(), 1, "{placed:?}");
    wait_for("the probe beside the project", || probes(project) == placed);

    // A wipe, dragged; a scrub to the last frame.
    both.key("w", Modifiers::NONE, Key::W);
    let seam = both.place("seam", "");
    both.drag(seam, seam + egui::vec2(-300.0, 0.0));
    let bar = both.rect("frame", "");
    both.drag(bar.center().round(), (bar.right_center() - egui::vec2(1.0, 0.0)).round());
    screen.keep("6 a seam on the last frame");

    // Two frames are rendered aside; starting it saves the project.
    let made = both.text_here();
    assert_ne!(made, *first, "nothing was done");
    both.real.key("F5");
    both.real.key("Tab");
    both.real.write("1-2");
    screen.keep("7 what is to be rendered");
    both.real.key("Tab");
    both.real.key("Return");
    let rendered = || -> usize {
        let folders = fs::read_dir(project.parent().unwrap().join("rendered")).into_iter().flatten().flatten();
        let files = folders.flat_map(|folder| fs::read_dir(folder.path()).into_iter().flatten().flatten());
        files.filter(|file| file.path().extension().is_some_and(|ending| ending == "dpx")).count()
    };
    wait_for("two frames", || rendered() == 2);
    assert_eq!(fs::read_to_string(project).unwrap(), made, "the project saved as it is here");
    let queue = session::queue::QueueFile::at(&project.with_extension("queue"));
    wait_for("the render is done", || queue.read().unwrap().jobs[0].state == session::queue::State::Done);
    both.real.settle();
    screen.keep("8 rendered");
    both.real.key("Escape");

    // Back to the beginning.
    let steps = both.here.state().0.project().unwrap().steps().names_back().count();
    assert_eq!(steps, 3);
    for _ in 0..steps {
        both.key("ctrl+z", Modifiers::COMMAND, Key::Z);
    }
    both.key("ctrl+s", Modifiers::COMMAND, Key::S);
    wait_for("all steps taken back", || fs::read_to_string(project).unwrap() == *first);
    screen.keep("9 undone");
    both.real.leave("ctrl+q");

    // Opened again without a name, it is the same.
    let stood = standing(home);
    let wall = &both.here.state().0.wall;
    let seam = wall.seam.unwrap();
    assert!(seam < 0.4 && stood.contains(&format!("seam = {seam}")), "{seam}: {stood}");
    assert!(stood.contains("frame = 4"), "{stood}");
    let mut real = Real::open(&screen, &[], home);
    screen.keep("10 opened again");
    real.leave("ctrl+q");
    assert_eq!(standing(home), stood);
    assert_eq!(probes(project), placed);
}

/// It dies in the middle of work: what was done is offered, and taken up.
#[test]
fn work_of_a_window_that_was_killed_is_offered_again() {
    if !display::is_possible() {
        return;
    }
    let demo = Demo::new();
    let Demo { home, project, first, .. } = &demo;
    let screen = Screen::new(SIZE, "bench_window");
    let mut both = Both::open(&screen, &demo);
    let begun = Instant::now();
    both.white_first();
    let made = both.text_here();
    assert_ne!(made, *first, "nothing was done");
    let kept = || {
        let names = fs::read_dir(project.parent().unwrap()).unwrap().map(|entry| entry.unwrap().path());
        names
            // Not the part of it that is being written.
            .filter(|path| {
                path.to_string_lossy().contains("autosave") && path.extension().is_none_or(|it| it != "part")
            })
            .any(|path| fs::read_to_string(path).is_ok_and(|text| text == made))
    };
    wait_for("work kept beside the project", kept);
    // A hand on a busy machine takes its time, so that this is told and not judged: what may be lost at most is asserted of
    // the window's own clock, in window/keeping.rs.
    println!("kept {:.1} s after it was begun", begun.elapsed().as_secs_f64());
    both.real.child.0.kill().unwrap();
    both.real.child.0.wait().unwrap();
    let mut real = Real::open(&screen, &[], home);
    screen.keep("11 offered again");
    real.key("Return");
    real.key("ctrl+s");
    wait_for("the work taken up and saved", || fs::read_to_string(project).unwrap() == made);
    real.leave("ctrl+q");
    assert_eq!(Project::open(project).unwrap().recovered(), None);
}

/// The window goes on, with pictures, on the device that is opened in place of the lost one.
#[test]
fn a_lost_device_is_opened_again_under_the_window() {
    if !display::is_possible() {
        return;
    }
    let demo = Demo::new();
    let screen = Screen::new(SIZE, "bench_window");
    let mut bench = Bench::default();
    bench.apply(Action::Open(demo.copy("beside")));
    let lost = [("GREYWRIGHT_LOSE_DEVICE", "3")];
    let real = Real::open_with(&screen, &[Path::new("bench"), &demo.project], &demo.home, &lost);
    let mut both = Both { real, here: here(bench) };
    both.pictures();
    // The third picture is that of another frame, and the device goes with it.
    both.key("period", Modifiers::NONE, Key::Period);
    let head = Rect::from_min_size(egui::pos2(900.0, 2.0), egui::vec2(600.0, 20.0));
    both.real.sees("the head line", head, |codes| codes.iter().any(|code| *code > 120));
    both.pictures();
    both.white_first();
    both.pictures();
    screen.keep("12 after the device was lost");
    both.key("ctrl+s", Modifiers::COMMAND, Key::S);
    wait_for("what was done", || fs::read_to_string(&demo.project).unwrap() == both.text_here());
    both.real.leave("ctrl+q");
}

/// A folder of originals that another program lets go over the window becomes a project, once that is confirmed.
#[test]
fn a_folder_is_dropped_on_the_window() {
    if !display::is_possible() {
        return;
    }
    let demo = Demo::new();
    let originals = demo.copy("originals");
    fs::remove_file(originals.join("night_ferry.greywright")).unwrap();
    let screen = Screen::new(SIZE, "bench_window");
    let mut real = Real::open(&screen, &[Path::new("bench"), &demo.project], &demo.home);
    display::dropping::drop_on(&real, &originals);
    let made = originals.join("originals.greywright");
    let head = Rect::from_min_size(egui::pos2(0.0, 800.0), egui::vec2(800.0, 60.0));
    real.sees("the shots in a table", head, |codes| codes.iter().filter(|code| **code > 150).count() > 200);
    screen.keep("13 a folder dropped");
    assert!(!made.exists(), "nothing is written before it is confirmed");
    wait_for("the project", || {
        real.key("Return");
        made.exists()
    });
    real.settle();
    screen.keep("14 a new project");
    let document = session::read(&made).unwrap().document;
    assert!(["deck_010", "galley_010", "wheelhouse_010"].iter().all(|shot| document.shots.contains_key(*shot)));
    real.leave("ctrl+q");
}
