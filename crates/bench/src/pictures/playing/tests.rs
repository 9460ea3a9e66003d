//! Small sequences played on a real adapter, as the window does it but for the window. What is waited for is what is seen;
//! time alone proves nothing here.

use std::path::{Path, PathBuf};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable as _;
use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use gpu::device::{AdapterChoice, Gpu};
use graph::{Document, Edit, Place, Shot, Wiring};
use media::About;
use session::playback::Share;
use session::{Project, file::Written};
use tempfile::TempDir;

use super::super::{Pictures, Shown};
use crate::state::{Action, Bench, OnPlaying, Tile, TileId};

/// What takes longer than this does not come at all.
const WATCH: Duration = Duration::from_secs(60);
const SIZE: Size = Size::new(19, 7);
/// Frames a second of the sequences: slow enough for a machine that does much else.
const RATE: f64 = 12.0;

/// A device of its own for each test, since one loses it. Without an adapter a test is skipped with a printed reason.
fn adapter() -> Option<std::sync::Arc<Gpu>> {
    let required = std::env::var("REQUIRE_GPU").is_ok_and(|value| value == "1");
    let opened = Gpu::open(&AdapterChoice::from_environment());
    if let Ok(Some(gpu)) = opened {
        return Some(gpu);
    }
    assert!(!required, "REQUIRE_GPU=1, but there is no adapter");
    println!("skipped: there is no adapter");
    None
}

/// A frame whose every pixel depends on its place and on its number.
fn made_up(number: i64) -> Frame {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let code = |at: usize, by: usize| ((at * by + number as usize * 37) % 1024) as f32 / 1023.0;
    let pixels: Vec<_> = (0..SIZE.pixels()).map(|at| [code(at, 7), code(at, 11), code(at, 13), 1.0]).collect();
    Frame::from_pixels(&pixels, SIZE, layout, Range::Full)
}

/// A window without one: a bench and its pictures.
struct Seat {
    bench: Bench,
    pictures: Pictures,
    woken: Receiver<()>,
    folder: TempDir,
}

impl Seat {
    /// On a project of two shots, galley with these frames and deck with three; a tile for each (shot, candidate).
    fn new(numbers: impl IntoIterator<Item = i64>, tiles: &[(&str, &str)]) -> Option<Self> {
        let gpu = adapter()?;
        let folder = tempfile::tempdir().unwrap();
        let mut document = Document::default();
        for (shot, numbers) in [("galley", numbers.into_iter().collect::<Vec<_>>()), ("deck", vec![1, 2, 3])] {
            std::fs::create_dir(folder.path().join(shot)).unwrap();
            for number in numbers {
                let about = About { rate: Some(RATE), ..About::default() };
                media::write(&path_of(folder.path(), shot, number), &made_up(number), &about).unwrap();
            }
            let media = format!("{shot}/{shot}.%04d.dpx");
            let shot_of =
                Shot { encoding: Some("LogC3".to_string()), exposure_index: Some(800), media, ..Shot::default() };
            document.shots.insert(shot.to_string(), shot_of);
        }
        for member in ["input-transform", "exposure", "white-balance", "output-transform"] {
            document.kit.insert(member.to_string(), ops::Op::named(member).unwrap());
        }
        for (name, places) in [
            ("light", &["input-transform", "exposure", "output-transform"][..]),
            ("white", &["input-transform", "white-balance", "exposure", "output-transform"]),
        ] {
            let wiring = Wiring::linear(places.iter().map(|member| Place::of(*member)));
            document.candidates.insert(name.to_string(), wiring);
        }
        let written = Written { document, ..Written::default() };
        let mut bench = Bench::of(Project::new(&folder.path().join("ferry.greywright"), written).unwrap());
        let tile = |(number, (shot, candidate)): (usize, &(&str, &str))| Tile {
            number: number as u64 + 1,
            shot: Some((*shot).to_string()),
            candidate: Some((*candidate).to_string()),
            ..Tile::default()
        };
        bench.wall.tiles = tiles.iter().enumerate().map(tile).collect();
        let context = egui::Context::default();
        let (wake, woken) = channel();
        context.set_request_repaint_callback(move |_| {
            // A test that has seen enough no longer listens.
            let _ = wake.send(());
        });
        let mut seat = Self { bench, pictures: Pictures::new(gpu, context), woken, folder };
        seat.until("stills", |seat| (0..tiles.len()).all(|tile| seat.shown(tile).is_some()));
        Some(seat)
    }

    fn ask(&mut self, action: OnPlaying) {
        self.bench.apply(Action::Playing(action));
    }

    fn step(&mut self) {
        self.pictures.follow(&self.bench);
        self.pictures.heard(&self.bench).into_iter().for_each(|action| self.bench.apply(action));
    }

    /// Goes on until something is so, and looks whenever there is something new to be seen.
    fn until(&mut self, what: &str, is_so: impl Fn(&Self) -> bool) {
        let begun = Instant::now();
        loop {
            self.step();
            if is_so(self) {
                return;
            }
            assert!(begun.elapsed() < WATCH, "{what} does not come; {:?}", self.bench.message);
            // Where play ends nobody wakes the window but its own clock.
            let _ = self.woken.recv_timeout(Duration::from_millis(10));
        }
    }

    fn shown(&self, tile: TileId) -> Option<&Shown> {
        self.pictures.of(tile)?.shown.as_ref()
    }

    fn frame(&self, tile: TileId) -> i64 {
        self.shown(tile).unwrap().frame
    }

    fn fault(&self, tile: TileId) -> Option<&str> {
        self.pictures.of(tile)?.fault.as_deref()
    }

    fn read(&self, tile: TileId) -> Vec<u8> {
        self.shown(tile).unwrap().drawn.read().unwrap().bytes().to_vec()
    }
}

fn path_of(folder: &Path, shot: &str, number: i64) -> PathBuf {
    folder.join(shot).join(format!("{shot}.{number:04}.dpx"))
}

#[test]
fn frames_come_in_order_and_the_last_one_stays() {
    let Some(mut seat) = Seat::new(1..=8, &[("galley", "light")]) else { return };
    seat.ask(OnPlaying::Play(true));
    let mut seen = Vec::new();
    let begun = Instant::now();
    while seat.bench.playing.plays {
        seat.step();
        let frame = seat.frame(0);
        if seen.last() != Some(&frame) {
            seen.push(frame);
        }
        assert!(begun.elapsed() < WATCH, "{seen:?}");
        let _ = seat.woken.recv_timeout(Duration::from_millis(10));
    }
    assert!(seen.windows(2).all(|pair| pair[0] < pair[1]) && seen.len() > 2, "{seen:?}");
    assert_eq!((seat.bench.frame, seat.bench.now()), (8, 8));
    // As a still, the frame where it stopped is what it was.
    seat.until("the last one", |seat| {
        seat.shown(0).is_some_and(|shown| shown.frame == 8 && shown.share == Share::Whole)
    });
    let played = seat.pictures.played().unwrap();
    assert_eq!((played.tally.due(), played.is_said), (8, true), "{played:?}");
    assert_eq!(played.at_hand, [1..=8]);
}

/// What is played is to the bit what stands there as a still.
#[test]
fn a_played_picture_is_the_still_of_its_frame() {
    let Some(mut seat) = Seat::new(1..=4, &[("galley", "white")]) else { return };
    let stills: Vec<_> = (1..=4)
        .map(|number| {
            seat.ask(OnPlaying::Go(number));
            seat.until("a still", |seat| seat.frame(0) == number);
            seat.read(0)
        })
        .collect();
    assert_ne!(stills[0], stills[1]);
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    for _ in 0..4 {
        let before = seat.frame(0);
        seat.until("the next frame", |seat| seat.bench.playing.plays && seat.frame(0) != before);
        let shown = seat.shown(0).unwrap();
        if shown.share == Share::Whole {
            assert_eq!(seat.read(0), stills[shown.frame as usize - 1]);
        }
    }
    seat.ask(OnPlaying::Play(false));
    let frame = seat.bench.frame;
    seat.until("the still", |seat| seat.frame(0) == frame && !seat.bench.playing.plays);
}

#[test]
fn tiles_of_a_shot_move_in_step_and_others_stand() {
    let tiles = [("galley", "light"), ("galley", "white"), ("deck", "light")];
    let Some(mut seat) = Seat::new(1..=6, &tiles) else { return };
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    for _ in 0..5 {
        let before = seat.frame(0);
        seat.until("the next frame", |seat| seat.frame(0) != before);
        assert_eq!(seat.frame(0), seat.frame(1));
        assert_eq!(seat.frame(2), 1);
    }
    assert_eq!([0, 1].map(|tile| seat.shown(tile).unwrap().named.candidate.clone()), ["light", "white"]);
    // The window says so.
    let draw = |ui: &mut egui::Ui| crate::shell::show(ui, &seat.bench, &seat.pictures, &mut Vec::new());
    let builder = Harness::builder().with_size(egui::vec2(1600.0, 1000.0));
    let mut window = builder.with_context_setup(crate::look::dress).build_ui(draw);
    window.run_steps(2);
    assert!(window.query_by_label("stands on frame 1, since another shot is played").is_some());
    assert!(window.query_by_label("stop on this frame").is_some());
    assert!(window.query_all_by_label(&format!("frame {}", seat.bench.now())).next().is_some());
}

#[test]
fn play_goes_on_in_the_shot_that_the_wall_goes_to() {
    let tiles = [("galley", "light"), ("galley", "white")];
    let Some(mut seat) = Seat::new(1..=6, &tiles) else { return };
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    seat.until("play", |seat| seat.frame(0) > 3);
    seat.bench.apply(Action::Shot(-1));
    assert_eq!(seat.bench.shot(), Some("deck"));
    let is_deck = |seat: &Seat| seat.shown(0).is_some_and(|shown| shown.named.shot == "deck");
    for frame in [2, 3, 1] {
        seat.until("frames of the other shot", |seat| is_deck(seat) && seat.frame(0) == frame);
    }
    assert!(seat.bench.playing.plays && seat.bench.span() == Some([1, 3]));
}

#[test]
fn numbers_and_wirings_that_change_while_it_plays_are_seen_while_it_does() {
    let Some(mut seat) = Seat::new(1..=4, &[("galley", "light")]) else { return };
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    seat.until("play", |seat| seat.frame(0) == 3);
    let before = seat.read(0);
    let set = Edit::Set { member: "exposure".to_string(), key: "stops".to_string(), value: "1".to_string() };
    seat.bench.apply(Action::Edit(set));
    seat.until("another picture", |seat| seat.frame(0) == 3 && seat.read(0) != before);
    let at = seat.bench.document().unwrap().candidates["light"].in_order().unwrap()[1];
    seat.bench.apply(Action::Edit(Edit::Remove { candidate: "light".to_string(), at }));
    seat.until("another wiring", |seat| !seat.shown(0).unwrap().named.order.contains("exposure"));
    assert!(seat.bench.playing.plays);
    let before = seat.frame(0);
    seat.until("the next frame", |seat| seat.frame(0) != before);
}

#[test]
fn in_out_and_backward_are_played() {
    let Some(mut seat) = Seat::new(1..=9, &[("galley", "light")]) else { return };
    for action in [OnPlaying::In(Some(3)), OnPlaying::Out(Some(5)), OnPlaying::Backward(true), OnPlaying::Play(true)] {
        seat.ask(action);
    }
    // From outside of in and out it begins at the end.
    seat.until("the end", |seat| !seat.bench.playing.plays && seat.frame(0) == 3);
    assert_eq!(seat.bench.frame, 3);
    assert_eq!(seat.pictures.played().unwrap().tally.due(), 3);
}

#[test]
fn missing_numbers_are_held_and_said() {
    let Some(mut seat) = Seat::new([1, 2, 5], &[("galley", "light")]) else { return };
    assert_eq!(seat.bench.span(), Some([1, 5]));
    seat.ask(OnPlaying::Play(true));
    seat.until("a frame for a missing one", |seat| {
        seat.shown(0).is_some_and(|shown| shown.asked == 4 && shown.frame == 2)
    });
    seat.until("the end", |seat| !seat.bench.playing.plays);
    let tally = &seat.pictures.played().unwrap().tally;
    assert_eq!((tally.due(), tally.held + tally.dropped >= 2), (5, true), "{tally:?}");
}

#[test]
fn a_head_that_is_drawn_shows_its_frame_and_lets_go() {
    let Some(mut seat) = Seat::new(1..=9, &[("galley", "light")]) else { return };
    for frame in [3, 7, 6] {
        seat.ask(OnPlaying::Scrub(frame));
        seat.until("the frame", |seat| seat.shown(0).is_some_and(|shown| shown.frame == frame && !shown.meanwhile));
    }
    let drawn = seat.read(0);
    seat.ask(OnPlaying::LetGo);
    assert_eq!(seat.bench.frame, 6);
    seat.ask(OnPlaying::Go(2));
    seat.until("a still", |seat| seat.frame(0) == 2);
    seat.ask(OnPlaying::Go(6));
    seat.until("a still", |seat| seat.frame(0) == 6);
    assert_eq!(seat.read(0), drawn);
}

#[test]
fn a_file_that_goes_under_playback_is_named_and_play_goes_on() {
    let Some(mut seat) = Seat::new(1..=6, &[("galley", "light")]) else { return };
    std::fs::remove_file(path_of(seat.folder.path(), "galley", 4)).unwrap();
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    let named =
        |seat: &Seat| seat.bench.message.as_ref().is_some_and(|message| message.words.contains("galley.0004.dpx"));
    seat.until("the missing file", named);
    seat.until("frames after it", |seat| seat.frame(0) == 6);
    seat.until("frames before it", |seat| seat.frame(0) == 2);
    assert!(seat.bench.playing.plays && seat.fault(0).is_none(), "{:?}", seat.fault(0));
    seat.until("its count", |seat| seat.pictures.played().is_some_and(|played| played.tally.failed > 0));
}

#[test]
fn a_volume_that_goes_is_named_and_comes_back_by_itself() {
    let Some(mut seat) = Seat::new(1..=12, &[("galley", "light")]) else { return };
    let (home, away) = (seat.folder.path().join("galley"), seat.folder.path().join("gone"));
    std::fs::rename(&home, &away).unwrap();
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    seat.until("a fault", |seat| seat.fault(0).is_some());
    let words = seat.fault(0).unwrap().to_string();
    assert!(words.contains("galley.00"), "{words}");
    assert_eq!(seat.frame(0), 1, "what was in sight stays");
    std::fs::rename(&away, &home).unwrap();
    seat.until("frames from files", |seat| seat.fault(0).is_none() && seat.frame(0) > 6);
    seat.until("all in memory", |seat| seat.pictures.played().is_some_and(|played| played.at_hand == [1..=12]));
    // What is in memory plays.
    std::fs::rename(&home, &away).unwrap();
    for frame in [3, 9, 2] {
        seat.until("a frame in memory", |seat| seat.frame(0) == frame);
        assert_eq!(seat.fault(0), None);
    }
    assert!(seat.bench.playing.plays);
}

#[test]
fn a_device_that_goes_under_playback_is_replaced_and_play_goes_on() {
    let Some(mut seat) = Seat::new(1..=6, &[("galley", "light"), ("galley", "white")]) else { return };
    seat.ask(OnPlaying::Loop(true));
    seat.ask(OnPlaying::Play(true));
    seat.until("play", |seat| seat.frame(0) == 2);
    let gone = std::sync::Arc::clone(seat.shown(0).unwrap().drawn.gpu());
    gone.lose();
    let is_anew = |seat: &Seat, tile| !std::sync::Arc::ptr_eq(seat.shown(tile).unwrap().drawn.gpu(), &gone);
    seat.until("pictures on another device", |seat| is_anew(seat, 0) && is_anew(seat, 1));
    for frame in [5, 2] {
        seat.until("the frames", |seat| seat.frame(0) == frame && seat.frame(1) == frame);
    }
    assert!(seat.bench.playing.plays && seat.fault(0).is_none() && seat.fault(1).is_none());
    assert!(!seat.read(0).is_empty());
}
