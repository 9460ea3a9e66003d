//! What `render` does where the files of a sequence do not agree: it stops at the frame, says what changed and what to
//! do, and what was written before is whole; where the user has said what holds, it goes on.

use std::fs;
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, Timecode};
use tests::program::{Run, greywright};

const CHAIN: &str = "input-transform encoding=LogC3 | output-transform display=BT.1886 rendering=plain";

/// Frames 1 to 5 of 10-bit DPX; `change` alters the fourth and those after it.
fn sequence(folder: &Path, change: impl Fn(&mut About, &mut Size, &mut Samples)) {
    for number in 1..=5_u32 {
        let (mut size, mut samples) = (Size::new(16, 9), Samples::Ten);
        let timecode = Some(Timecode { time: number, user: 0 });
        let mut about = About { rate: Some(24.0), range: Some(Range::Full), timecode, ..About::default() };
        if number >= 4 {
            change(&mut about, &mut size, &mut samples);
        }
        let layout = Layout::new(Channels::Rgb, samples, ByteOrder::Big);
        let frame = Frame::from_pixels(&vec![[0.5, 0.4, 0.3, 1.0]; size.pixels()], size, layout, Range::Full);
        media::write(&folder.join(format!("a.{number:04}.dpx")), &frame, &about).expect("the original is written");
    }
}

fn render(folder: &Path) -> Run {
    let (original, out) = (folder.join("a.%04d.dpx"), folder.join("out/a.%04d.dpx"));
    greywright("render").with(original).with(out).chain(CHAIN)
}

/// The frames that are there afterwards, which must be whole.
fn written(folder: &Path) -> Vec<u32> {
    let out = folder.join("out");
    let number = |number: &u32| media::read(&out.join(format!("a.{number:04}.dpx"))).is_ok();
    let numbers: Vec<u32> = (1..=9).filter(number).collect();
    let files = tests::frames::files(&out).len();
    assert_eq!(files, numbers.len(), "nothing half written is left");
    numbers
}

#[test]
fn another_range_stops_the_render_unless_the_user_says_what_holds() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), |about, _, _| about.range = Some(Range::Legal));
    let words = ["frame 4", "legal range", "full range", "--range", "shot sheet", "--frames"];
    render(dir.path()).fails(1, &words);
    assert_eq!(written(dir.path()), [1, 2, 3], "what came before is whole");
    let json = render(dir.path()).with("--json").go().json();
    assert_eq!((json["written"].as_u64(), json["failed"][0]["frame"].as_i64()), (Some(3), Some(4)), "{json}");
    render(dir.path()).with("--range").with("full").done();
    assert_eq!(written(dir.path()), [1, 2, 3, 4, 5]);
    let sheet = dir.path().join("sheet.csv");
    fs::write(&sheet, "shot,media,range\na,a.%04d.dpx,full\n").expect("a sheet");
    render(dir.path()).with("--shot-sheet").with(&sheet).done();
    // Each part by itself, as the message says.
    render(dir.path()).with("--frames").with("4-5").done();
}

#[test]
fn another_size_stops_the_render() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), |_, size, _| *size = Size::new(8, 9));
    render(dir.path()).with("--range").with("full").fails(1, &["frame 4", "8x9", "16x9", "--frames"]);
    assert_eq!(written(dir.path()), [1, 2, 3]);
}

/// Encodings are believed in OpenEXR with AP0 or AP1 chromaticities.
#[test]
fn another_encoding_stops_the_render_unless_the_chain_names_one() {
    let dir = tempfile::tempdir().expect("a folder");
    let size = Size::new(4, 3);
    let layout = Layout::new(Channels::Rgb, Samples::Half, ByteOrder::Little);
    let frame = Frame::from_pixels(&[[0.18, 0.18, 0.18, 1.0]; 12], size, layout, Range::Full);
    for (number, id) in [(1, "ACEScg"), (2, "ACES2065-1")] {
        let about = About { encoding: Some((id.to_string(), String::new())), ..About::default() };
        media::write(&dir.path().join(format!("a.{number:04}.exr")), &frame, &about).expect("the original is written");
    }
    let render = |chain: &str| {
        let (original, out) = (dir.path().join("a.%04d.exr"), dir.path().join("out/a.%04d.exr"));
        greywright("render").with(original).with(out).chain(chain)
    };
    let words = ["frame 2", "encoding ACES2065-1", "encoding ACEScg", "--input"];
    render("input-transform | exposure stops=1").fails(1, &words);
    render("input-transform encoding=ACEScg | exposure stops=1").done();
    render("input-transform | exposure stops=1").with("--input").with("ACEScg").done();
}

/// What changes no code is told once and travels as each file says it; frames stored otherwise are taken as they are.
#[test]
fn another_rate_or_depth_does_not_stop_the_render() {
    let dir = tempfile::tempdir().expect("a folder");
    sequence(dir.path(), |about, _, samples| {
        about.rate = Some(25.0);
        *samples = Samples::U16;
    });
    let answer = render(dir.path()).done();
    let told = "frame 4: 25 frames a second, the frame before it 24 frames a second";
    assert_eq!(answer.stderr.matches(told).count(), 1, "{answer}");
    assert_eq!(written(dir.path()), [1, 2, 3, 4, 5]);
    for (number, rate) in [(1, 24.0), (3, 24.0), (4, 25.0), (5, 25.0)] {
        let about = media::read(&dir.path().join(format!("out/a.{number:04}.dpx"))).expect("a frame").about;
        assert_eq!(about.rate, Some(rate), "frame {number}");
        // Frames that several threads read and write keep what is theirs.
        assert_eq!(about.timecode.map(|code| code.time), Some(number), "frame {number}");
    }
}
