//! The whole program in a real window. Beside it the same window is kept in this process, without a device: it says
//! where things stand that are to be pressed, and what the project must be in the end. Needs the program, Xvfb and
//! xdotool; where one is missing, the test says so and is left out. Pictures of each step lie under target/bench_window
//! where ImageMagick is there.
#![cfg(unix)]
#![expect(clippy::unwrap_used, reason = "helpers of tests: what they cannot do fails the test")]

mod ferry;

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::time::{Duration, Instant};

use bench::state::{Action, Bench};
use egui::{Key, Modifiers};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use session::Project;

const SIZE: [f32; 2] = [1600.0, 1000.0];
/// What the program needs for one thing at most, on a software adapter and a busy machine.
const PATIENCE: Duration = Duration::from_secs(90);
/// Between two things that a hand does.
const HAND: Duration = Duration::from_millis(700);

/// Where the program lies; none where it was not built.
fn program() -> Option<PathBuf> {
    let beside = || {
        let test = std::env::current_exe().ok()?;
        Some(test.parent()?.parent()?.join("greywright"))
    };
    std::env::var_os("GREYWRIGHT_BINARY").map(PathBuf::from).or_else(beside).filter(|path| path.is_file())
}

fn is_there(name: &str) -> bool {
    let paths = std::env::var_os("PATH").unwrap_or_default();
    std::env::split_paths(&paths).any(|folder| folder.join(name).is_file())
}

/// A child that ends with the test.
struct Ended(Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// A screen that nobody looks at.
struct Screen {
    number: String,
    pictures: PathBuf,
    _server: Ended,
}

impl Screen {
    fn new() -> Self {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", "1600x1000x24", "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let test = std::env::current_exe().unwrap();
        let pictures = test.ancestors().nth(3).unwrap().join("bench_window");
        fs::create_dir_all(&pictures).unwrap();
        Self { number: format!(":{}", number.trim()), pictures, _server: Ended(server) }
    }

    fn xdotool(&self, arguments: &[&str]) -> String {
        let output = Command::new("xdotool").args(arguments).env("DISPLAY", &self.number).output().unwrap();
        String::from_utf8_lossy(&output.stdout).trim().to_string()
    }

    /// Keeps what is seen, where there is something that can.
    fn keep(&self, name: &str) {
        if is_there("import") {
            let path = self.pictures.join(format!("{name}.png"));
            let _ = Command::new("import").args(["-window", "root"]).arg(path).env("DISPLAY", &self.number).status();
        }
    }
}

fn wait_for(what: &str, mut is: impl FnMut() -> bool) {
    let until = Instant::now() + PATIENCE;
    while !is() {
        assert!(Instant::now() < until, "{what}: not within {PATIENCE:?}");
        std::thread::sleep(Duration::from_millis(100));
    }
}

/// The program on a project, with a state folder of its own.
struct Real<'a> {
    screen: &'a Screen,
    child: Ended,
}

impl<'a> Real<'a> {
    fn open(screen: &'a Screen, arguments: &[&Path], home: &Path) -> Self {
        let child = Command::new(program().unwrap())
            .args(arguments)
            .env("DISPLAY", &screen.number)
            .env_remove("WAYLAND_DISPLAY")
            .env("XDG_STATE_HOME", home)
            .env("XDG_DATA_HOME", home)
            .env("XDG_RUNTIME_DIR", home)
            .env("GREYWRIGHT_ADAPTER", "software")
            .spawn()
            .unwrap();
        let real = Self { screen, child: Ended(child) };
        let mut window = String::new();
        wait_for("a window", || {
            window = screen.xdotool(&["search", "--onlyvisible", "--name", "Greywright"]);
            !window.is_empty()
        });
        // There is nobody else to say which window has the keys.
        screen.xdotool(&["windowfocus", "--sync", window.lines().last().unwrap_or_default()]);
        std::thread::sleep(4 * HAND);
        real
    }

    fn key(&self, keys: &str) {
        self.screen.xdotool(&["key", keys]);
        std::thread::sleep(HAND);
    }

    fn ends(&mut self) {
        let mut code = None;
        wait_for("the program's end", || {
            code = self.child.0.try_wait().unwrap();
            code.is_some()
        });
        assert!(code.unwrap().success());
    }
}

/// A real window and the same one here.
struct Both<'a> {
    real: Real<'a>,
    here: Harness<'static, (Bench, Vec<Action>)>,
}

impl Both<'_> {
    /// Where a control stands, by how its name begins and what is in it.
    fn place(&self, name: &str, within: &str) -> egui::Pos2 {
        let is = |label: String| label.starts_with(name) && label.contains(within);
        let mut found = self.here.query_all_by(move |node| node.label().is_some_and(is));
        found.next().unwrap_or_else(|| panic!("there is no {name:?}")).rect().center()
    }

    fn point(&mut self, place: egui::Pos2) {
        let [x, y] = [place.x, place.y].map(|at| (at.round() as i32).to_string());
        self.real.screen.xdotool(&["mousemove", &x, &y]);
        std::thread::sleep(HAND);
        self.here.hover_at(place);
        self.here.run_steps(2);
    }

    fn hold(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.screen.xdotool(&["mousedown", "1"]);
        std::thread::sleep(HAND);
        self.here.drag_at(place);
        self.here.run_steps(2);
    }

    fn let_go(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.screen.xdotool(&["mouseup", "1"]);
        std::thread::sleep(HAND);
        self.here.drop_at(place);
        self.here.run_steps(3);
    }

    /// Presses a control.
    fn press(&mut self, name: &str, within: &str) {
        let place = self.place(name, within);
        self.click(place);
    }

    /// Down and up at once: what is held for long is no click.
    fn click(&mut self, place: egui::Pos2) {
        self.point(place);
        self.real.screen.xdotool(&["click", "1"]);
        std::thread::sleep(HAND);
        self.here.drag_at(place);
        self.here.drop_at(place);
        self.here.run_steps(3);
    }

    /// White before exposure, by the hand.
    fn white_first(&mut self) {
        let (white, exposure) = (self.place("white", "adaptation"), self.place("exposure", "adaptation"));
        self.hold(white);
        let between = exposure - egui::vec2(20.0, 0.0);
        self.point(between);
        self.let_go(between);
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
            lowest.unwrap().rect().center()
        };
        self.click(line);
        self.real.screen.xdotool(&["type", text]);
        self.real.key("Return");
        self.here.event(egui::Event::Text(text.to_string()));
        self.here.run_steps(2);
        self.here.key_press(Key::Enter);
        self.here.run_steps(3);
    }

    fn text_here(&self) -> String {
        self.here.state().0.project().unwrap().text()
    }
}

/// The only file in the folder of how windows stood.
fn standing(home: &Path) -> String {
    let folder = home.join("greywright/windows");
    let files = fs::read_dir(folder).into_iter().flatten().flatten();
    files.map(|file| fs::read_to_string(file.path()).unwrap()).collect()
}

#[test]
fn the_demo_is_worked_on_closed_and_found_again() {
    let missing: Vec<&str> = ["Xvfb", "xdotool"].into_iter().filter(|name| !is_there(name)).collect();
    let Some(program) = program().filter(|_| missing.is_empty()) else {
        println!(
            "left out: missing {}",
            if missing.is_empty() { "the program".to_string() } else { missing.join(", ") }
        );
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    let (demo, home, beside) = (folder.path().join("demo"), folder.path().join("home"), folder.path().join("beside"));
    for folder in [&home, &beside] {
        fs::create_dir(folder).unwrap();
    }
    let written =
        Command::new(program).args(["demo", "--size", "320x180", "--frames", "4"]).arg(&demo).output().unwrap();
    assert!(written.status.success(), "{}", String::from_utf8_lossy(&written.stderr));
    let project = demo.join("night_ferry.greywright");
    let first = fs::read_to_string(&project).unwrap();
    fs::copy(&project, beside.join("night_ferry.greywright")).unwrap();

    let screen = Screen::new();
    let mut bench = Bench::default();
    bench.apply(Action::Open(beside));
    let real = Real::open(&screen, &[Path::new("bench"), &project], &home);
    let mut both = Both { real, here: ferry::window(bench, SIZE, 1.0) };
    screen.keep("1 opened");

    // The order of white and exposure.
    both.white_first();
    screen.keep("2 white before exposure");
    // A number by typing: the scale is touched, then the line typed in.
    both.press("exposure", "adaptation");
    both.press("stops", "");
    both.entry("+1/3");
    screen.keep("3 a third of a stop");
    // The scale has the keys, and takes a point for the beginning of a number.
    both.key("Escape", Modifiers::NONE, Key::Escape);
    both.key("w", Modifiers::NONE, Key::W);
    both.key("period", Modifiers::NONE, Key::Period);
    both.key("period", Modifiers::NONE, Key::Period);
    screen.keep("4 a seam, two frames on");

    let made = both.text_here();
    assert_ne!(made, first, "nothing was done");
    both.key("ctrl+s", Modifiers::COMMAND, Key::S);
    wait_for("the project saved as it is here", || fs::read_to_string(&project).unwrap() == made);
    let steps = both.here.state().0.project().unwrap().steps().names_back().count();
    assert!(steps >= 2, "{steps}");
    for _ in 0..steps {
        both.key("ctrl+z", Modifiers::COMMAND, Key::Z);
    }
    both.key("ctrl+s", Modifiers::COMMAND, Key::S);
    wait_for("all steps taken back", || fs::read_to_string(&project).unwrap() == first);
    screen.keep("5 undone");
    both.real.key("ctrl+q");
    both.real.ends();

    // Opened again without a name, it is the same.
    let stood = standing(&home);
    assert!(stood.contains("frame = 3") && stood.contains("seam = 0.5"), "{stood}");
    let mut real = Real::open(&screen, &[], &home);
    screen.keep("6 opened again");
    real.key("ctrl+q");
    real.ends();
    assert_eq!(standing(&home), stood);

    // It dies in the middle of work: what was done is offered, and taken up.
    let mut real = Real::open(&screen, &[], &home);
    both.here = {
        // The window before still has the other copy open.
        let again = folder.path().join("again");
        fs::create_dir(&again).unwrap();
        fs::write(again.join("night_ferry.greywright"), &first).unwrap();
        let mut bench = Bench::default();
        bench.apply(Action::Open(again));
        bench.apply(Action::Frame(3));
        bench.apply(Action::Seam(Some(0.5)));
        ferry::window(bench, SIZE, 1.0)
    };
    std::mem::swap(&mut both.real, &mut real);
    both.white_first();
    let made = both.text_here();
    assert_ne!(made, first, "nothing was done");
    let kept = || {
        let names = fs::read_dir(&demo).unwrap().map(|entry| entry.unwrap().path());
        names
            .filter(|path| path.to_string_lossy().contains("autosave"))
            .any(|path| fs::read_to_string(path).is_ok_and(|text| text == made))
    };
    let since = Instant::now();
    wait_for("work kept beside the project", kept);
    println!("kept {:.1} s after it was done", since.elapsed().as_secs_f64());
    both.real.child.0.kill().unwrap();
    both.real.child.0.wait().unwrap();
    let mut real = Real::open(&screen, &[], &home);
    screen.keep("7 offered again");
    real.key("Return");
    real.key("ctrl+s");
    wait_for("the work taken up and saved", || fs::read_to_string(&project).unwrap() == made);
    real.key("ctrl+q");
    real.ends();
    assert_eq!(Project::open(&project).unwrap().recovered(), None);
}
