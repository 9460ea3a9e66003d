//! Playing as a user does it, and what lands on the screen against what a render makes of the same frames.

use std::fs;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::mpsc::{Receiver, Sender, channel};
use std::time::Duration;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::ahead::Limits;
use media::{About, Sequence};
use session::chain::{Chain, ChainSource};
use session::engine::Engine;
use session::playback::{
    Computing, Means, Pace, Picture, Player, Rate, Screen, Settings, Share, Shown, Transport, picked, screen_edges,
};
use tests::gpu::adapter;
use tests::program::{Run, greywright};

const CHAIN: &str = "input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K \
    | output-transform display=BT.1886 rendering=plain";
const WATCH: Duration = Duration::from_secs(60);
const SIZE: Size = Size::new(19, 7);

/// A frame whose every pixel depends on its place and on its number.
fn made_up(number: i64) -> Frame {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let code = |at: usize, by: usize| ((at * by + number as usize * 37) % 1024) as f32 / 1023.0;
    let pixels: Vec<_> = (0..SIZE.pixels()).map(|at| [code(at, 7), code(at, 11), code(at, 13), 1.0]).collect();
    Frame::from_pixels(&pixels, SIZE, layout, Range::Full)
}

fn path_of(folder: &Path, number: i64) -> PathBuf {
    folder.join(format!("a.{number:04}.dpx"))
}

fn sequence(folder: &Path, numbers: impl IntoIterator<Item = i64>) {
    let about = About { rate: Some(50.0), ..About::default() };
    for number in numbers {
        media::write(&path_of(folder, number), &made_up(number), &about).expect("a frame is written");
    }
}

fn play(folder: &Path) -> Run {
    greywright("play --json").with(folder).chain(CHAIN)
}

fn count(json: &serde_json::Value, key: &str) -> u64 {
    json[key].as_u64().unwrap_or_else(|| panic!("no count '{key}' in {json}"))
}

#[test]
fn every_frame_that_came_due_is_in_one_count() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=20);
    let answer = play(dir.path()).done();
    let json = answer.json();
    assert_eq!(json["rate"], "50", "the files say it: {json}");
    let [due, shown, held, dropped, failed] =
        ["due", "shown", "held", "dropped", "failed"].map(|key| count(&json, key));
    assert_eq!((due, shown + held + dropped + failed), (20, 20), "{json}");
    // By the clock, twenty frames at fifty a second take four tenths of a second, and some time to be told.
    assert!(json["seconds"].as_f64() >= Some(0.4), "{json}");
    assert_eq!(json["delay_median_ms"].is_null(), shown == 0);
    // In words.
    let text = greywright("play").with(dir.path()).chain(CHAIN).done().stdout;
    for word in ["20 frames", "at 50 a second", "20 frames due", "dropped", "limit:", "rendering: BT.1886", "memory:"] {
        assert!(text.contains(word), "no '{word}' in {text}");
    }
}

#[test]
fn as_fast_as_it_goes_nothing_is_dropped_and_the_limit_is_named() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=30);
    for executor in ["gpu", "proof"] {
        if executor == "gpu" && adapter().is_none() {
            continue;
        }
        for extra in ["", " --fetch", " --backward --threads 1 --memory 1KiB"] {
            let run = greywright(&format!("play --json --rate most --executor {executor}{extra}"));
            let json = run.with(dir.path()).chain(CHAIN).done().json();
            assert_eq!((count(&json, "due"), count(&json, "shown")), (30, 30), "{json}");
            assert!(json["limit"].as_str().is_some_and(|limit| limit.len() > 4), "{json}");
            let stages = json["stages"].as_array().expect("stages");
            let names: Vec<&str> = stages.iter().filter_map(|row| row["stage"].as_str()).collect();
            assert!(names.contains(&"read") && names.contains(&"decode"), "{json}");
            assert_eq!(names.contains(&"proof"), executor == "proof", "{json}");
            assert!(stages.iter().all(|row| row["seconds"].as_f64() > Some(0.0)), "{json}");
        }
    }
}

#[test]
fn a_loop_is_stopped_after_so_many_seconds() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=4);
    let json = play(dir.path()).with("--loop").with("--seconds").with("0.5").done().json();
    // 25 periods, and however long the machine took to notice.
    assert!(count(&json, "due") >= 24, "{json}");
}

#[test]
fn missing_numbers_are_held_and_told() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), [1, 2, 5, 6]);
    let answer = play(dir.path()).with("--rate").with("most").done();
    let json = answer.json();
    assert_eq!((count(&json, "due"), count(&json, "shown"), count(&json, "held")), (6, 4, 2), "{json}");
    assert!(answer.stderr.contains("frames 3-4 not there"), "{answer}");
}

#[test]
fn what_cannot_be_read_is_told_and_the_rest_is_played() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=6);
    let whole = fs::read(path_of(dir.path(), 4)).expect("a file");
    fs::write(path_of(dir.path(), 4), &whole[..whole.len() / 2]).expect("the file is cut");
    let answer = play(dir.path()).with("--rate").with("most").fails(1, &["frame 4", "a.0004.dpx"]);
    let json = answer.json();
    assert_eq!((count(&json, "shown"), count(&json, "failed")), (5, 1), "{json}");
    assert_eq!(json["failed_frames"][0]["frame"], 4, "{json}");
    // A file that is listed and gone by the time that it is read.
    #[cfg(unix)]
    {
        fs::remove_file(path_of(dir.path(), 4)).expect("the file goes");
        std::os::unix::fs::symlink("nowhere", path_of(dir.path(), 4)).expect("a link");
        let answer = play(dir.path()).with("--rate").with("most").fails(1, &["frame 4", "a.0004.dpx"]);
        assert_eq!(count(&answer.json(), "shown"), 5, "{answer}");
    }
}

#[test]
fn a_lost_device_is_opened_again_and_no_frame_is_lost() {
    if adapter().is_none() {
        return;
    }
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=12);
    for fetch in [false, true] {
        let run = play(dir.path()).with("--rate").with("most").env("GREYWRIGHT_LOSE_DEVICE", "5");
        let run = if fetch { run.with("--fetch") } else { run };
        let answer = run.done();
        let json = answer.json();
        assert_eq!((count(&json, "shown"), count(&json, "device_reopened")), (12, 1), "{answer}");
        assert!(answer.stderr.contains("lost and opened again"), "{answer}");
    }
}

#[test]
fn what_is_typed_wrongly_is_told() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=2);
    play(dir.path()).with("--rate").with("fast").fails(2, &["24000/1001"]);
    play(dir.path()).with("--memory").with("12GB").fails(2, &["512MiB"]);
    play(dir.path()).with("--seconds").with("0").fails(2, &["seconds"]);
    greywright("play").chain(CHAIN).fails(2, &["IN is missing"]);
    // Without the rate and the encoding in the files.
    media::write(&path_of(dir.path(), 1), &made_up(1), &About::default()).expect("a frame is written");
    let answer = play(dir.path()).done();
    assert!(answer.stderr.contains("no file says its rate; played at 24"), "{answer}");
    greywright("play").with(dir.path()).chain("input-transform").fails(2, &["encoding"]);
}

struct Wire(Sender<Shown<Picture>>);

impl Screen<Picture> for Wire {
    fn show(&mut self, shown: Shown<Picture>) {
        // A test that has seen enough no longer listens.
        let _ = self.0.send(shown);
    }
}

fn chain(text: &str) -> Arc<Chain> {
    let source = ChainSource { chain: Some(text.to_string()), ..ChainSource::default() };
    Arc::new(source.read(|_| ()).expect("a chain"))
}

fn start(
    sequence: &Sequence,
    fetched: bool,
    device_bytes: u64,
) -> Option<(Player<Computing>, Receiver<Shown<Picture>>)> {
    let gpu = adapter()?;
    let means = Means { device_bytes, fetched };
    let work = Computing::new(Some(gpu), chain(CHAIN), means, Arc::default());
    let limits = Limits { budget_bytes: 1 << 20, threads: Some(2) };
    let settings = Settings { rate: Rate::CINEMA, pace: Pace::Most, limits };
    let (wire, shown) = channel();
    Some((Player::start(sequence, settings, Arc::default(), work, Wire(wire)).expect("a player"), shown))
}

fn frame_of(shown: Shown<Picture>) -> Frame {
    match shown.picture.expect("a picture") {
        Picture::OnDevice(drawn) => drawn.read().expect("it can be fetched"),
        Picture::InMemory(frame) => frame,
    }
}

/// What is shown is to the bit what the engine of `render` makes of the file, wherever it is left, whether it was held on
/// the device before or not, and after a change of the chain.
#[test]
fn what_is_shown_is_what_is_rendered() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=6);
    let sequence = Sequence::open(dir.path()).expect("a sequence");
    let rendered = |text: &str, number: i64| {
        let (chain, frame) = (chain(text), made_up(number));
        let elaborated = chain.for_frame(&About::default(), number).expect("it means something");
        let edges = screen_edges(&elaborated, frame.layout());
        let mut engine = Engine::between(adapter().as_ref(), &elaborated, edges).expect("an engine");
        engine.frame(Arc::new(frame)).expect("a frame")
    };
    // Room for two frames, for none but the one that is always held, for all.
    let bytes = 4 * SIZE.pixels() as u64 + 16;
    for (fetched, device_bytes) in [(true, 0), (false, 0), (false, 2 * bytes), (false, 100 * bytes)] {
        let Some((player, shown)) = start(&sequence, fetched, device_bytes) else { return };
        player.change(|transport, now| transport.set_looped(now, true));
        player.change(Transport::play);
        let next = || shown.recv_timeout(WATCH).expect("a picture");
        let wanted: Vec<Frame> = (1..=6).map(|number| rendered(CHAIN, number)).collect();
        let mut seen = 0;
        while seen < 13 {
            let picture = next();
            let number = picture.task.source;
            assert_eq!(frame_of(picture), wanted[number as usize - 1], "frame {number}, {fetched}, {device_bytes}");
            seen += 1;
        }
        // Another chain: what stands is drawn anew.
        player.change(|transport, _| transport.scrub(4));
        let other = CHAIN.replace("+0.5", "-2");
        player.set_chain(chain(&other));
        assert!(player.wait_for_rest(WATCH));
        let last = shown.try_iter().last().expect("a picture");
        assert_eq!((last.task.source, last.task.share), (4, Share::Whole));
        assert_eq!(frame_of(last), rendered(&other, 4));
        let work = player.end().expect("the work comes back");
        assert!(work.device_bytes() <= device_bytes.max(bytes), "{} of {device_bytes}", work.device_bytes());
    }
}

/// A smaller picture is the chain on pixels of the original, nothing else.
#[test]
fn a_smaller_picture_is_picked_from_the_whole_one() {
    let Some(gpu) = adapter() else { return };
    let elaborated = chain(CHAIN).for_frame(&About::default(), 1).expect("it means something");
    let frame = made_up(1);
    let edges = screen_edges(&elaborated, frame.layout());
    let through = |frame: Frame| {
        let mut engine = Engine::between(Some(&gpu), &elaborated, edges).expect("an engine");
        engine.frame(Arc::new(frame)).expect("a frame")
    };
    for share in Share::ALL {
        let small_first = through(picked(&frame, share).expect("a smaller frame"));
        let small_last = picked(&through(frame.clone()), share).expect("a smaller frame");
        assert_eq!(small_first, small_last, "{share}");
    }
}

/// A file that is deleted under a running player, and comes back.
#[test]
fn a_file_deleted_in_mid_play_is_told_and_shown_again_when_it_is_back() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), 1..=5);
    let files = Sequence::open(dir.path()).expect("a sequence");
    let Some(gpu) = adapter() else { return };
    let work = Computing::new(Some(gpu), chain(CHAIN), Means { device_bytes: 0, fetched: true }, Arc::default());
    // Memory for no frame but the one that is needed, so that each is read anew in every loop.
    let limits = Limits { budget_bytes: 1, threads: Some(1) };
    let settings = Settings { rate: Rate::CINEMA, pace: Pace::Most, limits };
    let (wire, shown) = channel();
    let player = Player::start(&files, settings, Arc::default(), work, Wire(wire)).expect("a player");
    player.change(|transport, now| transport.set_looped(now, true));
    player.change(Transport::play);
    let next = || shown.recv_timeout(WATCH).expect("a picture");
    while next().picture.is_err() {}
    fs::remove_file(path_of(dir.path(), 4)).expect("the file goes");
    let why = loop {
        let shown = next();
        if let Err(why) = shown.picture {
            assert_eq!(shown.task.source, 4);
            break why;
        }
    };
    assert!(why.contains("a.0004.dpx"), "{why}");
    sequence(dir.path(), [4]);
    loop {
        let shown = next();
        if shown.task.source == 4 && shown.picture.is_ok() {
            break;
        }
    }
    drop(player);
}
