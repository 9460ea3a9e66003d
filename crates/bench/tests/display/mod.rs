#![allow(dead_code, reason = "each suite uses a part of it")]
//! A display that nobody looks at, a hand in it, and the program in its window.
//!
//! Nothing waits for bare time: what a hand has done is asked about by the ping that every window of the X Window System
//! answers once it has come to it, and what is to come of it is looked for, in files or in the pixels of the display.

pub mod dropping;

use std::fs;
use std::io::{BufRead as _, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::sync::atomic::{AtomicU32, Ordering};
use std::time::{Duration, Instant};

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    ChangeWindowAttributesAux, ClientMessageEvent, ConnectionExt as _, EventMask, ImageFormat,
};
use x11rb::rust_connection::RustConnection;

/// What the program needs for one thing at most, on a software adapter and a busy machine.
const PATIENCE: Duration = Duration::from_secs(90);
/// How often it is looked.
const LOOK: Duration = Duration::from_millis(5);
/// Pictures that a window paints for one thing done in it: what is done, what comes of it, what that changes.
const PAINTED: usize = 3;

/// Where the program lies; none where it was not built.
pub fn program() -> Option<PathBuf> {
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

/// Whether a window can be tested here; says what is missing where it cannot.
///
/// # Panics
/// Something is missing, and `REQUIRE_WINDOW=1` allows that not.
pub fn is_possible() -> bool {
    let mut missing: Vec<&str> = ["Xvfb", "xdotool"].into_iter().filter(|name| !is_there(name)).collect();
    if program().is_none() {
        missing.push("the program (build it first: cargo build -p greywright)");
    }
    let required = std::env::var("REQUIRE_WINDOW").is_ok_and(|value| value == "1");
    assert!(missing.is_empty() || !required, "REQUIRE_WINDOW=1, but there is no {}", missing.join(", "));
    if !missing.is_empty() {
        println!("left out: missing {}", missing.join(", "));
    }
    missing.is_empty()
}

/// A child that ends with the test.
pub struct Ended(pub Child);

impl Drop for Ended {
    fn drop(&mut self) {
        let _ = self.0.kill();
        let _ = self.0.wait();
    }
}

/// Waits until it is so.
///
/// # Panics
/// It does not come.
pub fn wait_for(what: &str, mut is: impl FnMut() -> bool) {
    let until = Instant::now() + PATIENCE;
    while !is() {
        assert!(Instant::now() < until, "{what}: not within {PATIENCE:?}");
        std::thread::sleep(LOOK);
    }
}

/// A screen that nobody looks at.
pub struct Screen {
    number: String,
    size: [u16; 2],
    pictures: PathBuf,
    connection: RustConnection,
    root: u32,
    pings: AtomicU32,
    _server: Ended,
}

impl Screen {
    /// Of so many pixels; its pictures go into a folder of this name beside the tests.
    pub fn new([width, height]: [u16; 2], folder: &str) -> Self {
        let mut server = Command::new("Xvfb")
            .args(["-displayfd", "1", "-screen", "0", &format!("{width}x{height}x24"), "-nolisten", "tcp"])
            .stdout(Stdio::piped())
            .stderr(Stdio::null())
            .spawn()
            .unwrap();
        let mut number = String::new();
        BufReader::new(server.stdout.take().unwrap()).read_line(&mut number).unwrap();
        let number = format!(":{}", number.trim());
        let (connection, screen) = x11rb::connect(Some(&number)).unwrap();
        let root = connection.setup().roots[screen].root;
        // Answers to pings are sent to the root window.
        let events = ChangeWindowAttributesAux::new().event_mask(EventMask::SUBSTRUCTURE_NOTIFY);
        connection.change_window_attributes(root, &events).unwrap().check().unwrap();
        let test = std::env::current_exe().unwrap();
        let pictures = test.ancestors().nth(3).unwrap().join(folder);
        fs::create_dir_all(&pictures).unwrap();
        let (size, pings) = ([width, height], AtomicU32::new(1));
        Self { number, size, pictures, connection, root, pings, _server: Ended(server) }
    }

    pub fn xdotool(&self, arguments: &[&str]) -> String {
        let output = Command::new("xdotool").args(arguments).env("DISPLAY", &self.number).output().unwrap();
        String::from_utf8_lossy(&output.stdout).trim().to_string()
    }

    fn atom(&self, name: &str) -> u32 {
        self.connection.intern_atom(false, name.as_bytes()).unwrap().reply().unwrap().atom
    }

    /// The codes of a part of the screen, red, green and blue, row by row.
    pub fn codes(&self, [left, top, width, height]: [u16; 4]) -> Vec<u8> {
        let (x, y) = (left.cast_signed(), top.cast_signed());
        let image = self.connection.get_image(ImageFormat::Z_PIXMAP, self.root, x, y, width, height, !0);
        let data = image.unwrap().reply().unwrap().data;
        data.chunks_exact(4).flat_map(|pixel| [pixel[2], pixel[1], pixel[0]]).collect()
    }

    /// Keeps what is seen.
    pub fn keep(&self, name: &str) {
        let [width, height] = self.size;
        let layout = Layout::new(Channels::Rgb, Samples::Codes(8), ByteOrder::Little);
        let size = Size::new(u32::from(width), u32::from(height));
        let words = self.codes([0, 0, width, height]).into_iter().flat_map(|code| [code, 0]).collect();
        let frame = Frame::new(size, layout, words, 0).unwrap();
        media::write(&self.pictures.join(format!("{name}.png")), &frame, &media::About::default()).unwrap();
    }

    /// Waits until a window has come to all that was done in it, and has painted what comes of it.
    fn settle(&self, window: u32) {
        let (protocols, ping) = (self.atom("WM_PROTOCOLS"), self.atom("_NET_WM_PING"));
        for _ in 0..PAINTED {
            let number = self.pings.fetch_add(1, Ordering::Relaxed);
            let event = ClientMessageEvent::new(32, window, protocols, [ping, number, window, 0, 0]);
            self.connection.send_event(false, window, EventMask::NO_EVENT, event).unwrap();
            self.connection.flush().unwrap();
            wait_for("the window's answer", || {
                std::iter::from_fn(|| self.connection.poll_for_event().unwrap()).any(|event| match event {
                    Event::ClientMessage(answer) => answer.data.as_data32()[1] == number,
                    _ => false,
                })
            });
        }
    }
}

/// The program in its window.
pub struct Real<'a> {
    pub screen: &'a Screen,
    pub child: Ended,
    pub window: u32,
}

impl<'a> Real<'a> {
    /// Runs the program with a folder of its own for what it remembers.
    pub fn open(screen: &'a Screen, arguments: &[&Path], home: &Path) -> Self {
        Self::open_with(screen, arguments, home, &[])
    }

    pub fn open_with(screen: &'a Screen, arguments: &[&Path], home: &Path, set: &[(&str, &str)]) -> Self {
        let child = Command::new(program().unwrap())
            .args(arguments)
            .env("DISPLAY", &screen.number)
            .env_remove("WAYLAND_DISPLAY")
            .env("XDG_STATE_HOME", home)
            .env("XDG_DATA_HOME", home)
            .env("XDG_RUNTIME_DIR", home)
            .env("GREYWRIGHT_ADAPTER", "software")
            .envs(set.iter().copied())
            .spawn()
            .unwrap();
        let mut child = Ended(child);
        let mut found = String::new();
        wait_for("a window", || {
            assert_eq!(child.0.try_wait().unwrap(), None, "the program ended");
            found = screen.xdotool(&["search", "--onlyvisible", "--name", "Greywright"]);
            !found.is_empty()
        });
        let window = found.lines().last().unwrap_or_default().parse().unwrap();
        let real = Self { screen, child, window };
        // There is nobody else to say which window has the keys.
        real.screen.xdotool(&["windowfocus", "--sync", &window.to_string()]);
        real.settle();
        real
    }

    /// Waits until the window has come to all that was done.
    pub fn settle(&self) {
        self.screen.settle(self.window);
    }

    pub fn key(&self, keys: &str) {
        self.screen.xdotool(&["key", keys]);
        self.settle();
    }

    /// Presses keys after which the window is no more.
    pub fn leave(&mut self, keys: &str) {
        self.screen.xdotool(&["key", keys]);
        self.ends();
    }

    pub fn write(&self, text: &str) {
        self.screen.xdotool(&["type", "--", text]);
        self.settle();
    }

    pub fn point(&self, place: egui::Pos2) {
        let [x, y] = [place.x, place.y].map(|at| (at.round() as i32).to_string());
        self.screen.xdotool(&["mousemove", &x, &y]);
        self.settle();
    }

    pub fn button(&self, what: &str) {
        self.screen.xdotool(&[what, "1"]);
        self.settle();
    }

    /// Waits until a part of the screen is as it should be.
    pub fn sees(&self, what: &str, part: egui::Rect, is: impl Fn(&[u8]) -> bool) {
        let part = [part.left(), part.top(), part.width(), part.height()].map(|edge| edge.round() as u16);
        wait_for(what, || is(&self.screen.codes(part)));
    }

    pub fn ends(&mut self) {
        let mut code = None;
        wait_for("the program's end", || {
            code = self.child.0.try_wait().unwrap();
            code.is_some()
        });
        assert!(code.unwrap().success());
    }
}
