//! What a user finds where frames were asked to go: their names, what they say of themselves, and the exit code of a
//! place that cannot be.

use std::fs;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;
use tests::program::{Run, greywright};

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

/// Two frames of 10-bit DPX, `deck_010.1001.dpx` and the next.
fn originals(folder: &Path) -> PathBuf {
    let size = Size::new(16, 9);
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    let frame = Frame::from_pixels(&vec![[0.5, 0.4, 0.3, 1.0]; size.pixels()], size, layout, Range::Full);
    let originals = folder.join("originals");
    fs::create_dir(&originals).expect("a folder");
    for number in [1001, 1002] {
        let path = originals.join(format!("deck_010.{number}.dpx"));
        media::write(&path, &frame, &About::default()).expect("the original is written");
    }
    originals
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).expect("a folder");
    let mut names: Vec<_> = entries.map(|entry| entry.expect("an entry").file_name().into_string()).collect();
    names.sort();
    let names = names.into_iter().map(|name| name.expect("a name in UTF-8"));
    names.filter(|name| !tests::frames::is_record(name)).collect()
}

fn render(original: &Path, out: &Path, chain: &str) -> Run {
    greywright("render").with(original).with(out).chain(chain)
}

#[test]
fn frames_keep_their_names_in_a_folder() {
    let dir = folder();
    let originals = originals(dir.path());
    // A name without an ending is a folder, there or not.
    let out = dir.path().join("graded");
    for _ in 0..2 {
        render(&originals, &out, "").done();
        assert_eq!(names(&out), ["deck_010.1001.dpx", "deck_010.1002.dpx"]);
    }
    render(&originals.join("deck_010.1002.dpx"), &dir.path().join("one/"), "").done();
    assert_eq!(names(&dir.path().join("one")), ["deck_010.1002.dpx"]);
    // Beside the originals they would take their place.
    render(&originals, &originals, "").fails(1, &["deck_010.1001.dpx", "original", "elsewhere"]);
    assert_eq!(names(&originals).len(), 2);
}

#[test]
fn a_place_that_cannot_be_is_wrong_use() {
    let dir = folder();
    let originals = originals(dir.path());
    let out = |name: &str| dir.path().join("out").join(name);
    render(&originals, &out("deck.%04d.gif"), "").fails(2, &["deck.%04d.gif", ".dpx"]);
    render(&originals, &out("deck.dpx"), "").fails(2, &["2 frames", "%04d"]);
    render(&originals, &out("deck.%04d.exr"), "").with("--depth").with("10").fails(2, &["10", "half or float"]);
    greywright("pattern ramp --out").with(out("a.gif")).fails(2, &["a.gif"]);
    greywright("pattern ramp --depth half --out").with(out("a.dpx")).fails(2, &["half", "10"]);
    greywright("pattern wedge --encoding sRGB --out").with(out("a.dpx")).fails(2, &["sRGB", "scene"]);
    assert!(!dir.path().join("out").exists(), "nothing is made for what cannot be");
}

#[test]
fn frames_say_what_they_are_and_no_more() {
    let dir = folder();
    let original = originals(dir.path()).join("deck_010.1001.dpx");
    let out = dir.path().join("a.png");
    let about = |chain: &str| {
        render(&original, &out, chain).done();
        greywright("inspect --json").with(&out).done().json()[0].clone()
    };
    let read = "input-transform encoding=LogC3";
    let legal = about(&format!("{read} | output-transform display=BT.1886 range=legal rendering=plain"));
    assert_eq!((legal["encoding"].as_str(), legal["range"].as_str()), (Some("BT.1886"), Some("legal")));
    let full = about(&format!("{read} | output-transform display=BT.1886 rendering=plain"));
    assert_eq!((full["encoding"].as_str(), full["range"].as_str()), (Some("BT.1886"), Some("full")));
    // With other primaries it is no longer what the id says.
    let other = about(&format!("{read} | encode encoding=BT.709 primaries=P3-D65"));
    assert!(other["encoding"].is_null(), "{other}");
}

#[test]
fn no_adapter_is_told_from_an_adapter_forbidden() {
    let forbidden = |arguments: &str| greywright(arguments).env("GREYWRIGHT_ADAPTER", "none");
    for arguments in ["verify", "pace", "eval --executor gpu"] {
        forbidden(arguments).fails(1, &["GREYWRIGHT_ADAPTER=none", "unset"]);
    }
}

#[test]
fn names_with_blanks_are_listed_as_they_can_be_typed() {
    let answer = greywright("eval").chain("white-balance from=A method=Von Kries").fails(2, &["von-Kries"]);
    assert!(answer.stderr.contains("XYZ-scaling"), "{answer}");
    greywright("eval").chain("output-transform | output-transform").fails(2, &["take it out"]);
    greywright("eval --chain-file none.txt").fails(1, &["none.txt", "check the spelling"]);
}

#[test]
fn alpha_that_is_lost_is_told() {
    let dir = folder();
    let original = tests::table::path("frames/rgba_8.png");
    let to =
        |name: &str| greywright("render --input sRGB").with(&original).with(dir.path().join(name)).chain("").done();
    assert!(to("a.dpx").stderr.contains("holds no alpha: the picture is written over black; --depth 16 keeps it"));
    assert!(!to("a.exr").stderr.contains("alpha"));
}

#[test]
fn a_movie_is_refused_before_anything_is_made() {
    let dir = folder();
    let (movie, out) = (dir.path().join("clip.mov"), dir.path().join("out"));
    fs::write(&movie, b"\0\0\0\x14ftypqt  \0\0\0\0").expect("a movie");
    greywright("render").with(&movie).with(&out).chain("").fails(1, &["clip.mov", "QuickTime", "matrix", "bit depth"]);
    greywright("inspect").with(dir.path()).fails(1, &["clip.mov", "QuickTime"]);
    assert!(!out.exists());
}
