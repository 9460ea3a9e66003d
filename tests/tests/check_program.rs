//! `check` as a user meets it: a clean sequence passes, and each fault that is planted fails under its own limit alone,
//! with its figure, its frame and its place.

use std::fs;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, Timecode};
use serde_json::Value;
use tempfile::TempDir;
use tests::program::{Answer, greywright};

const SIZE: Size = Size::new(200, 150);
const TEN: Layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);

/// Codes of a moving picture in legal range: smooth noise over 100 to 800, with a neutral black of 68 to 76 in a corner.
fn moving(seed: u64) -> Vec<[u32; 3]> {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    let mut next = |most: u32| {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 33) as u32 % (most + 1)
    };
    let mut pixel = |at: usize| {
        let (x, y) = (at % SIZE.width as usize, at / SIZE.width as usize);
        let dark = x < 20 && y < 20;
        [(); 3].map(|()| if dark { 68 + next(8) } else { 100 + next(350) + next(350) })
    };
    (0..SIZE.pixels()).map(&mut pixel).collect()
}

/// The place of a pixel that a fault is put at, among the noise.
const AT: (u32, u32) = (120, 90);

fn at(x: u32, y: u32) -> usize {
    (y * SIZE.width + x) as usize
}

/// Puts a code into so many pixels from [`AT`] on.
fn plant(codes: &mut [[u32; 3]], pixels: usize, code: [u32; 3]) {
    codes[at(AT.0, AT.1)..][..pixels].fill(code);
}

fn ten(codes: &[[u32; 3]]) -> Frame {
    let words = codes.iter().flat_map(|[red, green, blue]| (red << 22 | green << 12 | blue << 2).to_be_bytes());
    Frame::new(SIZE, TEN, words.collect(), 0).expect("a small frame")
}

/// What a frame of the clean sequence says: 24 frames a second, an hour and so many frames.
fn about(number: i64) -> About {
    let timecode = Some(Timecode { time: 0x0100_0000 | u32::try_from(number % 10).expect("a digit"), user: 0 });
    let encoding = Some(("BT.1886".to_string(), "a test".to_string()));
    About { encoding, range: Some(Range::Legal), timecode, rate: Some(24.0), ..About::default() }
}

/// A folder with a sequence.
struct Shot {
    dir: TempDir,
    ending: &'static str,
}

impl Shot {
    /// Six clean frames from 1001 on, each put through `change` with what its file says.
    fn with(change: impl Fn(i64, &mut Vec<[u32; 3]>, &mut About)) -> Shot {
        let shot = Shot { dir: tempfile::tempdir().expect("a folder"), ending: "dpx" };
        for number in 1001_i64..=1006 {
            let (mut codes, mut about) = (moving(number.unsigned_abs()), about(number));
            change(number, &mut codes, &mut about);
            shot.put(number, &ten(&codes), &about);
        }
        shot
    }

    /// The same in floats of signal, as half floats in OpenEXR.
    fn floats(change: impl Fn(i64, &mut Vec<[f32; 4]>)) -> Shot {
        let shot = Shot { dir: tempfile::tempdir().expect("a folder"), ending: "exr" };
        let layout = Layout::new(Channels::Rgb, Samples::Half, ByteOrder::Little);
        for number in 1001_i64..=1003 {
            let mut pixels = ten(&moving(number.unsigned_abs())).to_pixels(Range::Legal);
            change(number, &mut pixels);
            shot.put(number, &Frame::from_pixels(&pixels, SIZE, layout, Range::Full), &About::default());
        }
        shot
    }

    fn put(&self, number: i64, frame: &Frame, about: &About) {
        media::write(&self.path(number), frame, about).unwrap_or_else(|error| panic!("{error}"));
    }

    fn path(&self, number: i64) -> PathBuf {
        self.dir.path().join(format!("a.{number:04}.{}", self.ending))
    }

    fn check(&self, arguments: &str) -> Answer {
        greywright(&format!("check --display BT.1886 {arguments}")).with(self.dir.path()).go()
    }

    /// What came of the limits.
    fn told(&self, arguments: &str) -> Value {
        let answer = self.check(&format!("--json {arguments}"));
        let told = answer.json()["shots"][0].clone();
        assert_eq!(answer.code == 0, told["passed"] == true, "{answer}");
        told
    }

    /// Fails under this limit alone.
    fn fails(&self, limit: &str, arguments: &str) -> Value {
        let told = self.told(arguments);
        assert_eq!(failed(&told), [limit], "{told:#}");
        judged(&told, limit).clone()
    }

    fn passes(&self, arguments: &str) -> Value {
        let told = self.told(arguments);
        assert_eq!((failed(&told), &told["passed"]), (Vec::<String>::new(), &true.into()), "{told:#}");
        told
    }
}

fn failed(told: &Value) -> Vec<String> {
    let judged = told["judged"].as_array().expect("a list").iter();
    let failed = judged.filter(|judged| judged["passed"] == false);
    failed.map(|judged| judged["limit"].as_str().expect("a name").to_string()).collect()
}

fn judged<'a>(told: &'a Value, limit: &str) -> &'a Value {
    let all = told["judged"].as_array().expect("a list");
    all.iter().find(|judged| judged["limit"] == limit).unwrap_or_else(|| panic!("{limit} is not judged: {told:#}"))
}

fn figure(judged: &Value) -> f64 {
    judged["figure"].as_f64().expect("a figure")
}

fn words(judged: &Value) -> String {
    let words = judged["words"].as_array().expect("a list");
    words.iter().filter_map(Value::as_str).collect::<Vec<_>>().join("; ")
}

fn notes(told: &Value) -> String {
    told["notes"].as_array().expect("a list").iter().filter_map(Value::as_str).collect::<Vec<_>>().join("; ")
}

/// In frame 1003.
fn in_one(change: impl Fn(&mut [[u32; 3]])) -> Shot {
    Shot::with(|number, codes, _| {
        if number == 1003 {
            change(codes);
        }
    })
}

/// Share of so many pixels, in percent.
fn share(pixels: usize) -> f64 {
    100.0 * pixels as f64 / SIZE.pixels() as f64
}

fn close(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-9
}

#[test]
fn a_clean_sequence_passes() {
    let shot = Shot::with(|_, _, _| ());
    let answer = shot.check("");
    assert_eq!(answer.code, 0, "{answer}");
    for words in ["  pass  6 frames, 1001-1006, 200x150, 10-bit RGB", "legal range, BT.1886", "1 shot, all pass"] {
        assert!(answer.stdout.contains(words), "no '{words}' in {answer}");
    }
    let told = shot.passes("--limit rate=24 --limit flat-frames=0 --limit uneven-codes=0");
    assert_eq!(
        (&told["range"], &told["display"], &told["notes"]),
        (&"legal".into(), &"BT.1886".into(), &Value::Array(vec![]))
    );
    // Everything that applies to codes was judged.
    assert_eq!(told["judged"].as_array().map(Vec::len), Some(18), "{told:#}");
    Shot::floats(|_, _| ()).passes("");
}

/// Source: EBU R 103 v3.0 (2020): 20 to 984 in 10 bits, 1 % of the picture.
#[test]
fn a_signal_outside_r_103_fails() {
    let of = |pixels, code| in_one(move |codes| plant(codes, pixels, code));
    of(400, [984, 20, 500]).passes("--limit clipped-bottom=off --limit clipped-top=off");
    let shot = of(400, [985, 500, 500]);
    let found = shot.fails("r103-area", "--limit clipped-top=off");
    assert!(close(figure(&found), share(400)), "{found:#}");
    assert_eq!(found["frames"], serde_json::json!([1003]));
    let worst = serde_json::json!({ "frame": 1003, "x": AT.0, "y": AT.1, "rgb": [985.0, 500.0, 500.0] });
    assert_eq!(found["worst"], worst);
    shot.passes("--limit clipped-top=off --limit r103-area=2");
    shot.passes("--limit clipped-top=off --limit r103-area=off");
    shot.passes("--limit clipped-top=off --limit r103-rgb-high=106");
    of(299, [985, 500, 500]).passes("");
    // The luma of the edition of 2000, from memory, is 103 %: 966.
    let bright = of(400, [970, 970, 970]);
    bright.passes("--limit clipped-top=off");
    bright.fails("r103-area", "--limit clipped-top=off --limit r103-luma-high=103");
}

/// Source: Rec. ITU-R BT.709-6, item 4.6: legal black and white are 64 and 940 in 10 bits.
#[test]
fn clipping_fails_at_both_ends_of_both_ranges() {
    for (range, top, bottom) in [(Range::Legal, 940, 64), (Range::Full, 1023, 0)] {
        let of = |pixels, code| {
            Shot::with(move |number, codes, about| {
                about.range = Some(range);
                if number == 1003 {
                    plant(codes, pixels, code);
                }
            })
        };
        let found = of(400, [300, top, 300]).fails("clipped-top", "--limit black-level=off --limit black-tint=off");
        assert!(close(figure(&found), share(400)), "{found:#}");
        assert!(words(&found).contains("red 0.00, green 1.33, blue 0.00 %"), "{found:#}");
        assert_eq!((&found["worst"]["x"], &found["worst"]["y"]), (&AT.0.into(), &AT.1.into()));
        let found =
            of(2000, [300, 300, bottom]).fails("clipped-bottom", "--limit black-level=off --limit black-tint=off");
        assert!(close(figure(&found), share(2000)), "{found:#}");
        of(200, [300, top, bottom]).passes("--limit black-level=off --limit black-tint=off");
    }
    // Black bars are no picture.
    let bars = Shot::with(|_, codes, _| {
        codes[..at(0, 15)].fill([64; 3]);
        codes[at(0, 135)..].fill([64; 3]);
    });
    bars.passes("--limit black-level=off --limit black-tint=off");
}

/// Source: BT.2100-2, RP 431-2: a green of the container that no P3 display shows.
#[test]
fn colours_outside_the_declared_gamut_fail() {
    let of = |pixels, code| {
        Shot::with(move |number, codes, about| {
            about.encoding = None;
            // Little colour, as a picture has: the noise of three channels would itself leave the gamut.
            codes.iter_mut().for_each(|code| *code = [code[1], code[1], code[1]]);
            if number == 1003 {
                plant(codes, pixels, code);
            }
        })
    };
    let green = of(60, [300, 600, 300]);
    let found = {
        let answer = greywright("check --json --display PQ").with(green.dir.path()).go();
        assert_eq!(answer.code, 1, "{answer}");
        let told = answer.json()["shots"][0].clone();
        assert_eq!((failed(&told), &told["gamut"]), (vec!["outside-gamut".to_string()], &"P3-D65".into()), "{told:#}");
        judged(&told, "outside-gamut").clone()
    };
    assert!(close(figure(&found), share(60)), "{found:#}");
    assert_eq!((&found["worst"]["x"], &found["worst"]["y"]), (&AT.0.into(), &AT.1.into()));
    assert!(words(&found).contains("P3-D65"));
    for arguments in ["--gamut BT.2020", "--gamut off", "--limit outside-gamut=0.3"] {
        greywright(&format!("check --display PQ {arguments}")).with(green.dir.path()).done();
    }
    greywright("check --display HLG").with(green.dir.path()).fails(1, &[]);
    // BT.2020 of standard range is held to no other gamut until one is declared.
    greywright("check --display BT.2020").with(green.dir.path()).done();
    greywright("check --display BT.2020 --gamut BT.709").with(green.dir.path()).fails(1, &[]);
    greywright("check --display PQ").with(of(20, [300, 600, 300]).dir.path()).done();
    greywright("check --gamut P3-D65").with(green.dir.path()).fails(2, &["--display"]);
    greywright("check --gamut P4").with(green.dir.path()).fails(2, &["P3-D65"]);
}

#[test]
fn floats_below_zero_above_one_and_no_numbers_fail() {
    let of = |value: f32| {
        Shot::floats(move |number, pixels| {
            if number == 1002 {
                pixels[at(AT.0, AT.1)][1] = value;
            }
        })
    };
    for (value, limit) in [(-0.001, "below-zero"), (1.01, "above-one")] {
        let found = of(value).fails(limit, "");
        assert!(close(figure(&found), share(1)), "{found:#}");
        assert_eq!((&found["worst"]["frame"], &found["worst"]["x"]), (&1002.into(), &AT.0.into()));
        of(value).passes(&format!("--limit {limit}=0.01"));
    }
    for value in [f32::NAN, f32::INFINITY] {
        let found = of(value).fails("not-finite", "");
        assert_eq!((figure(&found), &found["worst"]["y"]), (1.0, &AT.1.into()), "{found:#}");
    }
    // Light of the scene may be brighter than white.
    greywright("check --input ACEScg").with(of(1.01).dir.path()).done();
    greywright("check --input ACEScg").with(of(-0.01).dir.path()).fails(1, &[]);
}

#[test]
fn a_lifted_or_tinted_black_fails() {
    let dark = |codes: &mut [[u32; 3]], change: fn([u32; 3]) -> [u32; 3]| {
        for y in 0..20 {
            codes[at(0, y)..at(20, y)].iter_mut().for_each(|code| *code = change(*code));
        }
    };
    let lifted = in_one(|codes| dark(codes, |code| code.map(|code| code + 90)));
    let found = lifted.fails("black-level", "");
    // The black of 68 to 76 has a mean of 72, and legal black is 64.
    assert!((figure(&found) - 98.0).abs() < 0.5, "{found:#}");
    assert_eq!((&found["worst"]["x"], &found["worst"]["y"]), (&0.into(), &0.into()));
    lifted.passes("--limit black-level=100");
    let tinted = in_one(|codes| dark(codes, |[red, green, blue]| [red, green, blue + 8]));
    let found = tinted.fails("black-tint", "");
    assert!((figure(&found) - 8.0).abs() < 0.7, "{found:#}");
    assert!(words(&found).contains("codes above black"), "{found:#}");
    tinted.passes("--limit black-tint=10");
    // A marked black is judged wherever it lies.
    let found = tinted.fails("black-tint", "--black 0,0,20,20");
    assert!((figure(&found) - 8.0).abs() < 0.5, "{found:#}");
    let told = lifted.told("--black 100,100,20,20");
    assert!(failed(&told).contains(&"black-level".to_string()), "{told:#}");
    lifted.check("--black 190,140,20,20");
    greywright("check --black 190,140,20,20").with(lifted.dir.path()).fails(2, &["200x150", "within it"]);
    greywright("check --black 1,2,3").with(lifted.dir.path()).fails(2, &["X,Y,WIDTH,HEIGHT"]);
}

#[test]
fn repeated_and_frozen_frames_fail_and_stills_and_fades_do_not() {
    let repeats = |last: i64| {
        Shot::with(move |number, codes, _| {
            if (1003..=last).contains(&number) {
                *codes = moving(1002);
            }
        })
    };
    let found = repeats(1003).fails("repeated-frames", "");
    assert_eq!((figure(&found), words(&found).as_str()), (1.0, "frame 1003 repeats frame 1002"));
    let found = repeats(1005).fails("repeated-frames", "");
    assert_eq!((figure(&found), words(&found).as_str()), (3.0, "frozen: frames 1003-1005 repeat frame 1002"));
    repeats(1005).passes("--limit repeated-frames=3");
    let on_twos = Shot::with(|number, codes, _| *codes = moving(number.unsigned_abs().div_ceil(2)));
    assert!(words(&on_twos.fails("repeated-frames", "")).contains("stands for 2 frames"));
    let still = Shot::with(|_, codes, _| *codes = moving(7));
    assert!(notes(&still.passes("")).contains("a still: all 6 frames"));
    // A fade to black ends in frames that are alike; they are told.
    let fade = Shot::with(|number, codes, _| {
        if number >= 1004 {
            codes.fill([64; 3]);
        }
    });
    let told = fade.passes("");
    assert_eq!(notes(&told), "frames 1004-1006: flat, every pixel is 64,64,64");
    assert_eq!(figure(&fade.fails("flat-frames", "--limit flat-frames=0")), 3.0);
}

#[test]
fn missing_and_unreadable_frames_fail() {
    let shot = Shot::with(|_, _, _| ());
    fs::remove_file(shot.path(1003)).expect("a frame to take away");
    fs::remove_file(shot.path(1004)).expect("a frame to take away");
    let found = shot.fails("missing-frames", "");
    assert_eq!((figure(&found), words(&found).as_str()), (2.0, "1003-1004 are not there"));
    shot.passes("--limit missing-frames=2");
    let shot = Shot::with(|_, _, _| ());
    let bytes = fs::read(shot.path(1004)).expect("a frame");
    fs::write(shot.path(1004), &bytes[..bytes.len() / 2]).expect("half a frame");
    let found = shot.fails("unreadable-frames", "");
    assert!(words(&found).contains("a.1004.dpx") && words(&found).contains("cut short"), "{found:#}");
    fs::write(shot.path(1001), "no picture").expect("a file");
    assert_eq!(figure(&shot.fails("unreadable-frames", "")), 2.0);
    // None at all, and a path that is not there: the other shots are judged all the same.
    let none = tempfile::tempdir().expect("a folder");
    fs::write(none.path().join("b.0001.dpx"), "no picture").expect("a file");
    let clean = Shot::with(|_, _, _| ());
    let answer = greywright("check --json").with(none.path()).with("nowhere.dpx").with(clean.dir.path()).go();
    let passed: Vec<_> = (0..3).map(|shot| answer.json()["shots"][shot]["passed"].clone()).collect();
    assert_eq!((answer.code, passed), (1, vec![false.into(), false.into(), true.into()]), "{answer}");
    assert!(answer.json()["shots"][1]["error"].as_str().is_some_and(|why| why.contains("no such file")), "{answer}");
}

/// Source: SMPTE ST 12-1.
#[test]
fn time_code_that_jumps_or_cannot_be_fails() {
    let of = |change: fn(&mut About)| {
        Shot::with(move |number, _, about| {
            if number == 1004 {
                change(about);
            }
        })
    };
    let time = |about: &mut About, time| about.timecode = Some(Timecode { time, user: 0 });
    let found = of(|about| about.timecode = Some(Timecode { time: 0x0100_0009, user: 0 })).fails("timecode-breaks", "");
    assert!(words(&found).contains("frame 1004: time code 01:00:00:09 where 01:00:00:04 would follow"), "{found:#}");
    assert_eq!(figure(&found), 2.0, "there and back");
    // The numbers leave one out, the time code does not.
    let shot = Shot::with(|_, _, _| ());
    fs::rename(shot.path(1006), shot.path(1007)).expect("a frame of another number");
    let found = shot.fails("timecode-breaks", "--limit missing-frames=1");
    assert!(words(&found).contains("frame 1007: time code 01:00:00:06 where 01:00:00:07 would follow"), "{found:#}");
    // A drop flag at 24 frames a second, a digit above nine, and none at all.
    for (change, what) in [
        ((|about: &mut About| about.timecode = None) as fn(&mut About), "no time code"),
        (|about| about.timecode = Some(Timecode { time: 0x0100_000a, user: 0 }), "a digit above 9"),
    ] {
        let found = of(change).fails("timecode-faults", "");
        assert!(figure(&found) == 1.0 && words(&found).contains(what), "{found:#}");
    }
    let flagged = Shot::with(|_, _, about| {
        let word = about.timecode.map_or(0, |word| word.time);
        time(about, word | 0x40);
    });
    let found = flagged.fails("timecode-faults", "");
    assert!(figure(&found) == 6.0 && words(&found).contains("24 frames a second never are"), "{found:#}");
    let found = Shot::with(|_, _, _| ()).fails("rate", "--limit rate=25");
    assert!(figure(&found) == 24.0 && words(&found).contains("frames 1001-1006: the rate said is 24"), "{found:#}");
    let silent = Shot::with(|_, _, about| about.rate = None);
    assert!(notes(&silent.passes("")).contains("no rate"));
    silent.fails("rate", "--limit rate=24");
}

#[test]
fn headers_that_change_or_contradict_their_codes_fail() {
    let shot = Shot::with(|_, _, _| ());
    let small = Frame::new(
        Size::new(2, 2),
        TEN,
        [400_u32 << 22 | 300 << 12 | 500 << 2, 0x2a2a_2a28].map(u32::to_be_bytes).concat().repeat(2),
        0,
    );
    shot.put(1006, &small.expect("a small frame"), &about(1006));
    let found =
        shot.fails("header-changes", "--limit black-level=off --limit clipped-bottom=off --limit black-tint=off");
    assert!(words(&found).contains("frame 1006: 2x2"), "{found:#}");
    // Values of eight bits in words of ten.
    let eight = Shot::with(|_, codes, _| codes.iter_mut().for_each(|code| *code = code.map(|code| code & !3)));
    assert!(words(&eight.fails("header-depth", "")).contains("8-bit values in 10-bit words"));
    // A full header over a picture that spans legal range: BT.709-6, item 4.6.
    let legal = Shot::with(|number, codes, about| {
        about.range = Some(Range::Full);
        codes.iter_mut().zip(0_u32..).for_each(|(code, at)| *code = [64 + (at * 7 + number as u32) % 877; 3]);
    });
    let loose = "--limit black-level=off --limit black-tint=off";
    assert!(words(&legal.fails("header-range", loose)).contains("64 and 940 in 10 bits"));
    let found = legal.fails("header-range", &format!("{loose} --range legal"));
    assert_eq!(words(&found), "frames 1001-1006: the files do not say legal range");
    // And the other way round.
    let full = Shot::with(|number, codes, _| {
        codes.iter_mut().zip(0_u32..).for_each(|(code, at)| *code = [(at * 7 + number as u32) % 1024; 3]);
    });
    let loose = "--limit r103-area=off --limit clipped-top=off --limit clipped-bottom=off --limit black-level=off";
    assert!(words(&full.fails("header-range", loose)).contains("likely full range"));
    // What nobody says is told, and a shot sheet may say it.
    let silent = Shot::with(|_, _, _| ());
    for number in 1001..=1006 {
        // The reference codes of SMPTE ST 268-1, undefined.
        let mut bytes = fs::read(silent.path(number)).expect("a frame");
        [784, 792].iter().for_each(|at| bytes[*at..at + 4].fill(0xff));
        fs::write(silent.path(number), bytes).expect("a frame");
    }
    assert!(notes(&silent.told("")).contains("taken as full"));
    let sheet = silent.dir.path().join("day.csv");
    fs::write(&sheet, "shot,media,range\na,a.%04d.dpx,legal\n").expect("a sheet");
    let answer = greywright("check --json --display BT.1886 --shot-sheet")
        .with(&sheet)
        .with(silent.dir.path().join("a.%04d.dpx"))
        .done();
    assert_eq!(answer.json()["shots"][0]["range"], "legal", "{answer}");
    // SMPTE ST 268-1: the files say BT.709, which is no signal of PQ; that of BT.1886 it is.
    let answer = greywright("check --json --display PQ --gamut off").with(Shot::with(|_, _, _| ()).dir.path()).go();
    let told = answer.json()["shots"][0].clone();
    assert_eq!(failed(&told), ["header-encoding"], "{told:#}");
    let found = judged(&told, "header-encoding");
    assert_eq!(words(found), "frames 1001-1006: the file says transfer BT.709 (6), colorimetry BT.709 (6), not PQ");
    // So do the words of a rendering, and one frame that says another one.
    let made = Shot::with(|number, _, about| {
        let words = if number == 1006 { "P3-D65, 48 nits, plain" } else { "P3-D65, 100 nits, plain" };
        (about.encoding, about.rendering) = (None, Some(words.to_string()));
    });
    let told = made.told("");
    assert_eq!(failed(&told), ["header-changes", "header-encoding"], "{told:#}");
    assert_eq!(words(judged(&told, "header-encoding")), "frames 1001-1006: the file says made for P3-D65, not BT.1886");
    assert_eq!(told["rendering"], "P3-D65, 100 nits, plain");
    // Contrast that was stretched after it was quantised is told, and fails where that is wanted.
    let stretched = Shot::with(|_, codes, _| codes.iter_mut().for_each(|code| *code = code.map(|code| code * 9 / 8)));
    let loose = "--limit black-level=off";
    assert!(notes(&stretched.passes(loose)).contains("never occur"));
    stretched.fails("uneven-codes", &format!("{loose} --limit uneven-codes=0"));
}

#[test]
fn limits_are_listed_and_held_to_their_names() {
    let listed = greywright("check --limits --limit clipped-top=0.5").done().stdout;
    for words in ["clipped-top        0.5 % of the picture (1 unless told)", "rate", "off", "EBU R 103 v3.0 (2020)"] {
        assert!(listed.contains(words), "no '{words}' in {listed}");
    }
    let limits = greywright("check --limits --json").done().json();
    for limit in limits.as_array().expect("a list") {
        for key in ["name", "unit", "meaning", "source"] {
            assert!(limit[key].as_str().is_some_and(|text| !text.is_empty()), "{limit}");
        }
    }
    greywright("check").fails(2, &["PATH"]);
    greywright("check --limit cliped-top=1 .").fails(2, &["clipped-top", "--limits"]);
    greywright("check --display X .").fails(2, &["BT.1886"]);
    let answer = in_one(|codes| plant(codes, 400, [985, 500, 500])).check("");
    for words in [
        "  FAIL  ",
        "r103-area         1.33 % of the picture, 1 allowed; frame 1003; worst in 1003 at 120,90 (985, 500, 500)",
        "remedy: ",
        "1 shot, 1 failed",
    ] {
        assert!(answer.stdout.contains(words), "no '{words}' in {answer}");
    }
}

const CHAIN: &str =
    "input-transform encoding=LogC3 | exposure stops=2 | output-transform display=BT.1886 rendering=plain range=legal";

/// What is judged after a chain is what would be written: the files of the same render are judged alike.
#[test]
fn the_picture_after_a_chain_is_judged_as_it_would_be_written() {
    // Greys, since noise of three channels would leave any display's gamut.
    let originals = Shot::with(|_, codes, about| {
        codes.iter_mut().for_each(|code| *code = [code[1]; 3]);
        (about.range, about.encoding) = (Some(Range::Full), None);
    });
    let written = tempfile::tempdir().expect("a folder");
    let out: &Path = written.path();
    greywright("render").with(originals.dir.path()).with(out.join("a.%04d.dpx")).chain(CHAIN).done();
    let run = |path: &Path, chain: Option<&str>| {
        let run = greywright("check --json").with(path);
        let answer = match chain {
            Some(chain) => run.chain(chain),
            None => run.with("--display").with("BT.1886"),
        };
        let answer = answer.go();
        assert_eq!(answer.code, 1, "{answer}");
        answer.json()["shots"][0].clone()
    };
    let (after, files) = (run(originals.dir.path(), Some(CHAIN)), run(out, None));
    assert_eq!(
        (&after["rendering"], &after["display"], &after["after_chain"]),
        (&"BT.1886, 100 nits, plain".into(), &"BT.1886".into(), &true.into())
    );
    assert!(failed(&after).contains(&"clipped-top".to_string()), "{after:#}");
    for limit in ["r103-area", "clipped-top", "clipped-bottom", "black-level", "repeated-frames", "timecode-breaks"] {
        assert_eq!(judged(&after, limit), judged(&files, limit), "{limit}");
    }
    // The original itself is sound, and so is the picture without the exposure.
    originals.passes("--limit black-level=off");
    let calm = CHAIN.replace("stops=2", "stops=-4");
    let loose = "--limit black-level=off --limit clipped-bottom=off --limit uneven-codes=off";
    greywright(&format!("check {loose}")).with(originals.dir.path()).chain(&calm).done();
    // Floats are as they are, beyond white too.
    let answer = greywright("check --json --depth half")
        .with(originals.dir.path())
        .chain(&CHAIN.replace(" range=legal", ""))
        .go();
    assert!(failed(&answer.json()["shots"][0]).contains(&"above-one".to_string()), "{answer}");
}

/// What ACES 2 renders keeps within the primaries that it names, to the code; a plain picture of the same does not.
#[test]
fn a_rendering_is_held_to_the_gamut_that_it_names() {
    let originals = Shot::with(|_, codes, about| {
        codes.iter_mut().for_each(|[red, _, blue]| (*red, *blue) = (*red / 2 + 100, *blue / 3 + 100));
        (about.range, about.encoding) = (Some(Range::Full), None);
    });
    let check = |output: &str| {
        let chain = format!("input-transform encoding=LogC4 | output-transform display=PQ {output}");
        let answer = greywright("check --json --frames 1001-1002").with(originals.dir.path()).chain(&chain).go();
        let told = answer.json()["shots"][0].clone();
        let found = failed(&told).contains(&"outside-gamut".to_string());
        (found, told["gamut"].clone(), told["rendering"].clone())
    };
    let pq = |words: &str| Value::from(format!("PQ, {words}"));
    assert_eq!(check("rendering=aces-2.0"), (false, "P3-D65".into(), pq("1000 nits, aces-2.0, within P3-D65")));
    assert_eq!(
        check("rendering=aces-2.0 limit=BT.709"),
        (false, "BT.709".into(), pq("1000 nits, aces-2.0, within BT.709"))
    );
    assert_eq!(check("rendering=aces-2.0 limit=BT.2020"), (false, Value::Null, pq("1000 nits, aces-2.0")));
    assert_eq!(check("rendering=plain"), (true, "P3-D65".into(), pq("10000 nits, plain")));
}

#[test]
fn a_project_is_checked_shot_by_shot() {
    let dir = tempfile::tempdir().expect("a folder");
    greywright("demo --size 160x90 --frames 2 --shots deck_010,galley_010b,wheelhouse_010 --no-faults")
        .with(dir.path())
        .done();
    let project = dir.path().join("night_ferry.greywright");
    let answer = greywright("check --json --project").with(&project).go();
    let told = answer.json();
    let shots = told["shots"].as_array().expect("a list");
    assert_eq!(shots.len(), 3, "{answer}");
    for shot in shots {
        assert!(shot["error"].is_null() && shot["after_chain"] == true && shot["rendering"].is_string(), "{shot:#}");
        assert_eq!(shot["frames"], 2);
    }
    let name = shots[1]["shot"].as_str().expect("a name");
    let one = greywright("check --json --shot").with(name).with("--project").with(&project).go().json();
    assert_eq!(one["shots"].as_array().map(Vec::len), Some(1));
    assert_eq!(one["shots"][0], shots[1]);
    greywright("check --shot none --project").with(&project).fails(1, &["there is no shot 'none'"]);
}
