//! `inspect` as a user meets it: faults are planted in a sequence, and each must be named with its figures.

use std::fs;
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use media::{About, Timecode};
use tests::program::greywright;

const SIZE: Size = Size::new(320, 400);

/// A 10-bit frame of smooth noise over codes 200 to 800, each code put through `code`.
fn frame(seed: u64, code: impl Fn(u32) -> u32) -> Frame {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut next = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as u32 % 301
    };
    let words = (0..SIZE.pixels()).flat_map(|_| {
        let [red, green, blue] = [(); 3].map(|()| code(200 + next() + next()));
        (red << 22 | green << 12 | blue << 2).to_be_bytes()
    });
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    Frame::new(SIZE, layout, words.collect(), 0).expect("a small frame")
}

fn write(path: &Path, frame: &Frame, about: &About) {
    media::write(path, frame, about).unwrap_or_else(|error| panic!("{error}"));
}

/// The findings on one frame as `kind: words`.
fn findings(code: impl Fn(u32) -> u32) -> Vec<String> {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("a.dpx");
    write(&path, &frame(1, code), &About::default());
    told(&greywright("inspect --json").with(&path).done().json()[0])
}

fn told(sequence: &serde_json::Value) -> Vec<String> {
    let findings = sequence["findings"].as_array().expect("a list");
    let word = |finding: &serde_json::Value, key: &str| finding[key].as_str().expect("a text").to_string();
    findings.iter().map(|finding| format!("{}: {}", word(finding, "kind"), word(finding, "words"))).collect()
}

/// The kind of a finding, words of it, and how the fault is planted.
type Case = (&'static str, &'static [&'static str], fn(u32) -> u32);

#[test]
fn planted_code_faults_are_named_with_their_figures() {
    assert_eq!(findings(|code| code), [""; 0], "a sound picture");
    let cases: [Case; 6] = [
        ("fewer-bits", &["only codes divisible by 4", "8-bit values in 10-bit words"], |code| code & !3),
        ("fewer-bits", &["high bits are repeated", "8-bit values"], |code| code >> 2 << 2 | code >> 8),
        ("gaps", &["never occur", "about 1.25 times"], |code| code * 5 / 4),
        ("doubled", &["one in 4.0", "to 0.80 of its contrast"], |code| code * 4 / 5),
        ("clipped-toe", &["at 330, ", "likely a clipped toe"], |code| code.max(330)),
        ("clipped-head", &["at 690, ", "likely a clipped head"], |code| code.min(690)),
    ];
    for (kind, words, code) in cases {
        let found = findings(code);
        assert_eq!(found.len(), 1, "{kind}: {found:?}");
        for word in [kind].iter().chain(words) {
            assert!(found[0].contains(word), "no '{word}' in {found:?}");
        }
    }
}

/// Source: Rec. ITU-R BT.709-6, item 4.6: legal black and white are 64 and 940 in 10 bits.
#[test]
fn a_legal_ramp_in_a_full_file_is_named() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("ramp.dpx");
    let size = Size::new(877, 8);
    let row = || (64..=940_u32).flat_map(|code| (code << 22 | code << 12 | code << 2).to_be_bytes());
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    write(
        &path,
        &Frame::new(size, layout, (0..8).flat_map(|_| row()).collect(), 0).expect("a ramp"),
        &About::default(),
    );
    let found = told(&greywright("inspect --json").with(&path).done().json()[0]);
    assert!(found.len() == 1 && found[0].contains("64 and 940 in 10 bits"), "{found:?}");
    let sheet = dir.path().join("sheet.csv");
    fs::write(&sheet, "shot,media,range\nramp,ramp.dpx,legal\n").expect("a sheet");
    let answer = greywright("inspect --json --shot-sheet").with(&sheet).done().json();
    assert_eq!((told(&answer[0]), &answer[0]["range"]), (Vec::new(), &"legal".into()), "the sheet says so");
}

#[test]
fn repeats_gaps_jumps_and_damage_are_named() {
    let dir = tempfile::tempdir().expect("a folder");
    for (number, seed, time) in [(1, 1, 0), (2, 2, 1), (4, 2, 3), (5, 5, 0x0100)] {
        let timecode = Some(Timecode { time: 0x0100_0000 | time, user: 0 });
        let about = About { timecode, rate: Some(24.0), ..About::default() };
        write(&dir.path().join(format!("a.{number:04}.dpx")), &frame(seed, |code| code), &about);
    }
    let pattern = dir.path().join("a.%04d.dpx");
    let answer = greywright("inspect --codes").with(&pattern).done();
    for words in [
        "missing  frame 3",
        "frames 2, 4 hold the same picture",
        "frame 5: time code 01:00:01:00 where 01:00:00:04 would follow",
        "timecode 01:00:00:00 to 01:00:01:00",
        "red      200 to 800, median ",
    ] {
        assert!(answer.stdout.contains(words), "no '{words}' in {answer}");
    }
    fs::write(dir.path().join("a.0006.dpx"), "SDPX and no more").expect("a file");
    let answer = greywright("inspect").with(&pattern).fails(1, &["frame 6", "a.0006.dpx"]);
    assert!(answer.stdout.contains("frames 2, 4"), "what can be read is told: {answer}");
}

/// An encoding file is known by its name, as in a chain: a shot sheet may use it.
#[test]
fn an_encoding_file_is_known() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("a.dpx");
    write(&path, &frame(1, |code| code), &About::default());
    let sheet = dir.path().join("sheet.csv");
    fs::write(&sheet, "shot,media,encoding\na,a.dpx,ferry log\n").expect("a sheet");
    let encoding = dir.path().join("ferry.toml");
    let text = fs::read_to_string(tests::table::path("encodings/example.toml")).expect("the example");
    let name = text.lines().find(|line| line.starts_with("name")).expect("it has a name");
    fs::write(&encoding, text.replace(name, "name = \"Ferry-Log\"")).expect("an encoding file");
    let run = || greywright("inspect --json --shot-sheet").with(&sheet);
    run().fails(1, &["line 2, column 'encoding'", "ferry log"]);
    let told = run().with("--encoding-file").with(&encoding).done().json()[0].clone();
    assert_eq!(told["encoding"], "ferry log", "{told}");
    greywright("inspect --encoding-file none.toml").with(&path).fails(1, &["none.toml", "check the spelling"]);
}

/// Source: SMPTE ST 12-1: at 59.94 frames a second an address stands for two frames, counted as at 29.97 drop-frame,
/// where 00:01:00;02 follows 00:00:59;29.
#[test]
fn above_thirty_frames_a_second_pairs_share_a_time_code() {
    let jumps = |last: u32| {
        let dir = tempfile::tempdir().expect("a folder");
        let words = [0x5968, 0x5968, 0x5969, 0x5969, 0x0001_0042, 0x0001_0042, last];
        for (number, time) in (1_u64..).zip(words) {
            let timecode = Some(Timecode { time, user: 0 });
            let about = About { timecode, rate: Some(60000.0 / 1001.0), ..About::default() };
            write(&dir.path().join(format!("a.{number:04}.dpx")), &frame(number, |code| code), &about);
        }
        told(&greywright("inspect --json").with(dir.path()).done().json()[0])
    };
    assert_eq!(jumps(0x0001_0043), [""; 0]);
    assert_eq!(jumps(0x0001_0042), ["timecode: frame 7: time code 00:01:00;02 where 00:01:00;03 would follow"]);
}

/// Everything that should hold for a whole sequence is changed once.
#[test]
fn what_changes_within_a_sequence_is_named() {
    let dir = tempfile::tempdir().expect("a folder");
    let legal = Some(frame::Range::Legal);
    let abouts = [
        About { rate: Some(24.0), ..About::default() },
        About { rate: Some(25.0), ..About::default() },
        About { rate: Some(25.0), range: legal, ..About::default() },
        About { rate: Some(25.0), range: legal, ..About::default() },
    ];
    for (number, about) in (1_u64..).zip(&abouts) {
        write(&dir.path().join(format!("a.{number:04}.dpx")), &frame(number, |code| code), about);
    }
    let small = Frame::new(Size::new(2, 1), frame(1, |code| code).layout(), vec![0; 8], 0).expect("two pixels");
    write(&dir.path().join("a.0005.dpx"), &small, &abouts[3]);
    let found = told(&greywright("inspect --json").with(dir.path()).done().json()[0]);
    let named = [
        "change: frame 2: 25 frames a second, the frame before it 24 frames a second",
        "change: frame 3: legal range, the frame before it full range",
        "change: frame 5: 2x1, 10-bit RGB, big-endian, the frame before it 320x400, 10-bit RGB, big-endian",
    ];
    assert_eq!(found, named);
}

#[test]
fn the_use_of_codes_is_drawn() {
    let dir = tempfile::tempdir().expect("a folder");
    let (path, drawn) = (dir.path().join("a.dpx"), dir.path().join("codes.png"));
    write(&path, &frame(1, |code| code & !1), &About::default());
    greywright("inspect --codes-picture").with(&drawn).with(&path).done();
    let picture = media::read(&drawn).unwrap_or_else(|error| panic!("{error}")).frame;
    let pixels = picture.to_pixels(frame::Range::Full);
    assert!(pixels.iter().all(|[red, green, blue, _]| red == green && green == blue), "neutral greys");
    // The foot of red's bars: codes that occur are light, those that do not are dark.
    let row = &pixels[127 * picture.size().width as usize..];
    assert!(row[500][0] > 0.5 && row[501][0] < 0.2 && row[100][0] < 0.2, "{:?}", &row[499..502]);
}

#[test]
fn a_shot_sheet_tells_render_what_the_files_do_not() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = dir.path().join("deck.0001.dpx");
    write(&original, &frame(1, |code| code), &About::default());
    let sheet = dir.path().join("day.csv");
    fs::write(&sheet, "shot,media,encoding,exposure index,range\ndeck,deck.%04d.dpx,LogC3,400,legal\n")
        .expect("a sheet");
    let render = |out: &str, arguments: &[&str]| {
        let out = dir.path().join(out);
        let run = greywright("render").with(&original).with(&out).chain("exposure stops=1");
        arguments.iter().fold(run, |run, argument| run.with(*argument)).done();
        fs::read(out).expect("a frame")
    };
    let sheet_text = sheet.to_str().expect("a path");
    let by_sheet = render("sheet.dpx", &["--shot-sheet", sheet_text]);
    assert_eq!(by_sheet, render("typed.dpx", &["--input", "LogC3", "--ei", "400", "--range", "legal"]));
    // What is typed goes before the sheet.
    let typed = ["--input", "LogC3", "--ei", "1600", "--range", "full"];
    let both = render("both.dpx", &[&typed[..], &["--shot-sheet", sheet_text]].concat());
    assert_eq!(both, render("index.dpx", &typed));
    assert_ne!(both, by_sheet);
    let other = dir.path().join("other.0001.dpx");
    fs::copy(&original, &other).expect("a copy");
    let run = greywright("render --shot-sheet").with(&sheet).with(&other).with(dir.path().join("no.dpx"));
    run.chain("exposure stops=1").fails(1, &["day.csv", "no row", "other"]);
}

#[test]
fn a_shot_sheet_comes_before_the_headers() {
    let dir = tempfile::tempdir().expect("a folder");
    write(&dir.path().join("deck.0001.dpx"), &frame(1, |code| code), &About::default());
    let sheet = dir.path().join("day.csv");
    let text = "Shot,Set-up,Camera roll,Media,Encoding,Exposure index,Camera kelvin,Range\n\
                deck_010,3,A001,deck.%04d.dpx,LogC3,1600,3200,full\n";
    fs::write(&sheet, text).expect("a sheet");
    let answer = greywright("inspect --json --shot-sheet").with(&sheet).done().json();
    let told = &answer[0];
    for (key, value) in [("shot", "deck_010"), ("set_up", "3"), ("camera_roll", "A001"), ("encoding", "LogC3")] {
        assert_eq!(told[key], value);
    }
    assert_eq!((told["exposure_index"].as_u64(), told["camera_kelvin"].as_f64()), (Some(1600), Some(3200.0)));
    assert!(told["encoding_reason"].as_str().expect("a reason").contains("line 2"));
    for (from, to, words) in [
        ("LogC3", "LogC9", ["line 2", "column 'encoding'", "LogC4"]),
        ("1600", "1601", ["line 2", "column 'exposure index'", "1600"]),
        ("3200,", "warm,", ["line 2", "column 'camera kelvin'", "kelvin"]),
    ] {
        fs::write(&sheet, text.replace(from, to)).expect("a sheet");
        greywright("inspect --shot-sheet").with(&sheet).fails(1, &words);
    }
}

#[test]
fn a_shot_sheet_names_the_roll_of_what_is_rendered() {
    let dir = tempfile::tempdir().expect("a folder");
    let about = About { camera_roll: Some("B999".to_string()), ..About::default() };
    for number in 1..=2 {
        write(&dir.path().join(format!("deck.{number:04}.dpx")), &frame(number, |code| code), &about);
    }
    let sheet = dir.path().join("day.csv");
    fs::write(&sheet, "shot,media,camera roll\ndeck,deck.%04d.dpx,A001\n").expect("a sheet");
    for ending in ["dpx", "exr"] {
        let roll = |arguments: &[&str]| {
            let out = dir.path().join(format!("out.%04d.{ending}"));
            let run = greywright("render --input LogC4").with(dir.path().join("deck.%04d.dpx")).with(&out);
            let told = arguments.iter().fold(run.chain("exposure stops=1"), |run, word| run.with(*word)).done();
            assert_eq!(told.messages(), [""; 0], "the files agree");
            greywright("inspect --json").with(&out).done().json()[0]["camera_roll"].clone()
        };
        assert_eq!(roll(&[]), "B999", "{ending}");
        assert_eq!(roll(&["--shot-sheet", sheet.to_str().expect("a path")]), "A001", "{ending}");
    }
}

#[test]
fn one_row_that_cannot_be_read_keeps_nothing_back() {
    let dir = tempfile::tempdir().expect("a folder");
    write(&dir.path().join("deck.0001.dpx"), &frame(1, |code| code), &About::default());
    fs::write(dir.path().join("clip.mov"), b"\0\0\0\x14ftypqt  \0\0\0\0").expect("a movie");
    let sheet = dir.path().join("day.csv");
    fs::write(&sheet, "shot,media\na,clip.mov\nb,deck.%04d.dpx\nc,none.%04d.dpx\n").expect("a sheet");
    let words = ["line 2, column 'media'", "QuickTime", "bit depth", "line 4, column 'media'", "none.%04d.dpx"];
    let answer = greywright("inspect --json --shot-sheet").with(&sheet).fails(1, &words);
    assert_eq!((answer.json().as_array().map(Vec::len), &answer.json()[0]["shot"]), (Some(1), &"b".into()));
}

/// Source: SMPTE ST 268-1, transfer 1 is printing density; the roll stands on the slate.
#[test]
fn what_a_dpx_header_says_is_told_and_not_believed() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = dir.path().join("a.dpx");
    let about = About {
        encoding: Some(("Printing-Density".to_string(), String::new())),
        pixel_aspect: Some(2.0),
        camera_roll: Some("A001".to_string()),
        ..About::default()
    };
    write(&path, &frame(1, |code| code), &about);
    let answer = &greywright("inspect --json").with(&path).done().json()[0];
    assert!(answer["encoding"].is_null(), "{answer}");
    assert_eq!(answer["header_says"], "transfer printing density (1), colorimetry printing density (1)");
    assert_eq!((answer["pixel_aspect"].as_f64(), answer["camera_roll"].as_str()), (Some(2.0), Some("A001")));
    let text = greywright("inspect").with(&path).done().stdout;
    for words in ["roll     A001", "pixels   2 as wide as high", "the header, often wrong: transfer printing density"] {
        assert!(text.contains(words), "no '{words}' in: {text}");
    }
}
