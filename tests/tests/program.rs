//! The program as a whole: what it says, what it takes, what it leaves on disk, and that the same picture comes out
//! whichever way it is computed.

use std::collections::BTreeMap;
use std::fs;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, Timecode};
use ops::Op;
use tests::gpu::adapter;
use tests::program::{Run, greywright};

const COMMANDS: [&str; 7] = ["demo", "inspect", "eval", "render", "pattern", "verify", "pace"];
/// The main job: four operations.
const MAIN: &str = "input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K \
                    | output-transform display=BT.1886 rendering=plain";

fn folder() -> tempfile::TempDir {
    tempfile::tempdir().expect("a folder for the test")
}

/// Bytes that look like noise and are the same every time.
fn noise(seed: u64) -> impl FnMut() -> u32 {
    let mut state = seed.wrapping_mul(0x9e37_79b9_7f4a_7c15) | 1;
    move || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 32) as u32
    }
}

/// A frame of every kind of finite value that its layout can hold.
fn any_frame(layout: Layout, size: Size, seed: u64) -> Frame {
    let mut next = noise(seed);
    let count = layout.byte_len(size).expect("a small frame");
    let mut bytes = Vec::with_capacity(count + 4);
    while bytes.len() < count {
        let word = next();
        match layout.samples {
            // The two lowest bits are padding, which writers leave empty.
            Samples::Ten => bytes.extend((word & !3).to_be_bytes()),
            Samples::Codes(bits) => bytes.extend((word as u16 >> (16 - bits)).to_ne_bytes()),
            // All but infinity and NaN, whose exponent is all ones.
            Samples::Half => {
                let half = word as u16;
                bytes.extend((if half & 0x7c00 == 0x7c00 { half & !0x0400 } else { half }).to_ne_bytes());
            }
            Samples::Float => {
                bytes
                    .extend((if word & 0x7f80_0000 == 0x7f80_0000 { word & !0x0080_0000 } else { word }).to_ne_bytes());
            }
        }
    }
    bytes.truncate(count);
    Frame::new(size, layout, bytes, 0).expect("bytes of the right count")
}

fn write(path: &Path, frame: &Frame, about: &About) {
    media::write(path, frame, about).unwrap_or_else(|error| panic!("{error}"));
}

fn read(path: &Path) -> media::Picture {
    media::read(path).unwrap_or_else(|error| panic!("{error}"))
}

/// A sequence of 10-bit DPX with noise for codes.
fn sequence(folder: &Path, numbers: &[u32], size: Size) -> PathBuf {
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    for &number in numbers {
        let path = folder.join(format!("shot.{number:04}.dpx"));
        write(&path, &any_frame(layout, size, u64::from(number)), &About::default());
    }
    folder.join("shot.%04d.dpx")
}

fn files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let entries = fs::read_dir(folder).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    entries
        .map(|entry| {
            let path = entry.expect("an entry").path();
            let name = path.file_name().expect("a name").to_string_lossy().into_owned();
            (name, fs::read(&path).expect("a readable file"))
        })
        .filter(|(name, _)| !tests::frames::is_record(name))
        .collect()
}

fn render(original: &Path, out: &Path) -> Run {
    greywright("render").with(original).with(out)
}

#[test]
fn help_teaches_and_versions_are_told() {
    let whole = greywright("--help").done().stdout;
    assert!(whole.contains("input-transform encoding=LogC3 |"), "{whole}");
    for command in COMMANDS {
        assert!(whole.contains(command), "{whole}");
        let help = greywright(command).with("--help").done().stdout;
        // An example, as it would be typed.
        assert!(help.lines().any(|line| line.contains("greywright ") && !line.starts_with("Usage")), "{help}");
        let version = greywright(command).with("--version").done().stdout;
        assert!(version.trim().ends_with(env!("CARGO_PKG_VERSION")), "{version}");
    }
    assert!(greywright("--version").done().stdout.starts_with("greywright "));
}

#[test]
fn every_command_writes_json() {
    let dir = folder();
    let original = sequence(dir.path(), &[1, 2], Size::new(32, 18));
    let json = |run: Run| run.with("--json").done().json();
    assert!(json(greywright("inspect --adapters")).is_array());
    assert_eq!(json(greywright("inspect").with(&original))[0]["frames"], 2);
    let rows = json(greywright("eval --executor proof").chain("exposure stops=1").input("0.25,0.5,1\n"));
    assert_eq!(rows["rows"], serde_json::json!([[0.5, 1.0, 2.0]]));
    assert_eq!(json(render(&original, &dir.path().join("out/a.####.dpx")).chain(MAIN))["written"], 2);
    let pattern = json(greywright("pattern bars75 --size 32x18 --out").with(dir.path().join("bars.png")));
    assert_eq!(pattern["kind"], "bars75");
    let demo =
        json(greywright("demo --size 160x90 --frames 1 --shots deck_010,deck_020").with(dir.path().join("demo")));
    assert_eq!(demo["shots"].as_array().map(Vec::len), Some(2));
    assert!(demo["faults"].is_string());
    if adapter().is_some() {
        assert_eq!(json(greywright("verify").chain("exposure stops=1"))["passed"], true);
        let all = json(greywright("verify"));
        let tried = all["operations"].to_string();
        assert!(Op::all().iter().all(|op| tried.contains(op.id())) && all["passed"] == true, "{all}");
        assert_eq!(json(greywright("verify").with(&original).chain(MAIN))["frames"].as_array().map(Vec::len), Some(2));
        let pace = json(greywright("pace --size 64x36 --repeats 2"));
        assert!(pace["of_copy_pass"]["fused"].as_f64().is_some_and(|ratio| ratio > 0.0), "{pace}");
    }
}

#[test]
fn exit_codes_tell_work_from_words() {
    let dir = folder();
    greywright("eval").chain("").done();
    greywright("eval --executor proof").input("0.1,0.2\n").fails(1, &["line 1"]);
    greywright("inspect").with(dir.path().join("none.dpx")).fails(1, &["none.dpx", "check the spelling"]);
    // Alone it is the window, which needs a display to open on.
    greywright("").env("DISPLAY", "").env("WAYLAND_DISPLAY", "").fails(1, &["no display", "--help"]);
    for wrong in ["nothing", "eval --nothing", "eval --executor abacus", "render one", "pattern stripes --out a.dpx"] {
        greywright(wrong).fails(2, &[]);
    }
    greywright("eval").chain("exposure stops=much").fails(2, &["exposure", "stops"]);
    greywright("pattern stripes --out a.dpx").fails(2, &["ramp-stops", "wedge", "bars100", "hue-sweep"]);
}

/// The digits of a number as written, without its sign, point, exponent and leading zeros.
fn digits(number: &str) -> usize {
    let mantissa = number.trim_start_matches('-').split('e').next().unwrap_or_default();
    mantissa.replace('.', "").trim_start_matches('0').len()
}

#[test]
fn eval_answers_row_by_row() {
    let mut next = noise(7);
    let rows: Vec<[f64; 3]> =
        (0..3000).map(|_| [0; 3].map(|_: i32| f64::from(next()) / f64::from(u32::MAX) * 8.0 - 1.0)).collect();
    // Blank lines, blanks around numbers and a missing last line end are all one.
    let text: Vec<String> = rows.iter().map(|[r, g, b]| format!(" {r:e} ,{g:e}, {b:e}\n\n")).collect();
    let run = |executor: &str| {
        greywright("eval --executor").with(executor).chain("exposure stops=1").input(text.concat().trim_end()).done()
    };
    let proof = run("proof");
    let (out, longest) = (proof.rows(), proof.stdout.split([',', '\n']).map(digits).max());
    assert_eq!(out.len(), rows.len());
    assert_eq!(longest, Some(17));
    for (row, got) in rows.iter().zip(&out) {
        assert_eq!(row.map(|value| value * 2.0), *got, "a doubling is exact, and 17 digits say so");
    }
    if adapter().is_some() {
        let gpu = run("gpu");
        assert_eq!(gpu.stdout.split([',', '\n']).map(digits).max(), Some(9));
        for (row, got) in rows.iter().zip(gpu.rows()) {
            // A doubling is exact in single float too, and nine digits bring every single float back.
            assert_eq!(row.map(|value| value as f32 * 2.0), got.map(|value| value as f32));
        }
    }
    for executor in ["proof", "gpu"].iter().take(1 + usize::from(adapter().is_some())) {
        let empty = greywright("eval --executor").with(*executor).chain(MAIN).input("").done();
        assert_eq!(empty.stdout, "");
    }
}

#[test]
fn eval_counts_and_replaces_what_is_no_number_and_names_a_bad_row() {
    let executors: &[&str] = if adapter().is_some() { &["proof", "gpu"] } else { &["proof"] };
    for executor in executors {
        let run = |rows: &str| greywright("eval --executor").with(*executor).input(rows).chain("");
        let answer = run("nan,inf,-inf\n1,2,3\n").done();
        assert_eq!(answer.rows(), [[0.0, 65504.0, -65504.0], [1.0, 2.0, 3.0]]);
        assert!(answer.stderr.contains("3 numbers were not finite"), "{answer}");
        assert_eq!(run("nan,0,0\n").with("--json").done().json()["not_finite"], 1);
        for (rows, line) in [("1,2,3\n\n1,2\n", "line 3"), ("1,2,3,4\n", "line 1"), ("1,2,three\n", "line 1")] {
            run(rows).fails(1, &[line, "three numbers with commas"]);
        }
        // Numbers of any size come and go; single float ends at 3.4e38.
        let large = run("1e300,-1e300,1e-300\n").done().rows();
        assert!(large[0].iter().all(|value| value.is_finite()), "{large:?}");
    }
}

#[test]
fn explain_shows_meaning_plan_and_shader() {
    let answer = greywright("eval --explain").chain(MAIN).input("0.4,0.4,0.4\n").done();
    for word in ["what it means", "original: ", "primaries ", "plan as elaborated", "plan optimised", "@compute"] {
        assert!(answer.stderr.contains(word), "{word} in {answer}");
    }
    assert_eq!(answer.rows().len(), 1, "results alone go to standard output");
}

/// Every kind of stored value through an empty chain, by the adapter and by the proof.
#[test]
fn an_empty_chain_leaves_every_stored_value_alone() {
    let native = if cfg!(target_endian = "big") { ByteOrder::Big } else { ByteOrder::Little };
    let cases = [
        ("dpx", "10", Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big)),
        ("tiff", "16", Layout::new(Channels::Rgb, Samples::U16, native)),
        ("tiff", "16", Layout::new(Channels::Rgba, Samples::U16, native)),
        ("png", "16", Layout::new(Channels::Rgb, Samples::U16, ByteOrder::Big)),
        ("exr", "half", Layout::new(Channels::Rgb, Samples::Half, native)),
        ("exr", "half", Layout::new(Channels::Rgba, Samples::Half, native)),
        ("exr", "float", Layout::new(Channels::Rgb, Samples::Float, native)),
    ];
    for (ending, depth, layout) in cases {
        let dir = folder();
        let path = dir.path().join(format!("in.{ending}"));
        write(&path, &any_frame(layout, Size::new(67, 41), 11), &About::default());
        let original = read(&path);
        for by in ["adapter", "proof"] {
            let out = dir.path().join(format!("{by}.{ending}"));
            let run = render(&path, &out).with("--depth").with(depth);
            if by == "proof" { run.env("GREYWRIGHT_ADAPTER", "none") } else { run }.done();
            let result = read(&out).frame;
            assert_eq!(result.layout(), original.frame.layout(), "{ending} {depth}");
            let first = result.bytes().iter().zip(original.frame.bytes()).position(|(a, b)| a != b);
            assert_eq!(first, None, "{ending} {depth} {layout} by the {by}: first byte that differs");
        }
    }
}

#[test]
fn both_byte_orders_of_dpx_are_read() {
    let dir = folder();
    for name in ["ten_big_a.dpx", "ten_little_a.dpx"] {
        let path = tests::table::path("frames").join(name);
        let out = dir.path().join(name);
        render(&path, &out).done();
        let (original, result) = (read(&path).frame, read(&out).frame);
        assert_eq!(original.to_pixels(Range::Full), result.to_pixels(Range::Full), "{name}");
    }
}

#[test]
fn every_pattern_is_written_in_every_format_and_readable() {
    let dir = folder();
    for kind in ["ramp", "ramp-stops", "wedge", "bars75", "bars100", "hue-sweep"] {
        for ending in ["dpx", "exr", "tiff", "png"] {
            let path = dir.path().join(format!("{kind}.{ending}"));
            greywright("pattern --size 96x54").with(kind).with("--out").with(&path).done();
            let frame = read(&path).frame;
            assert_eq!(frame.size(), Size::new(96, 54));
            let pixels = frame.to_pixels(Range::Full);
            let of = |side: fn(f32, f32) -> f32| pixels.iter().flat_map(|p| &p[..3]).copied().fold(pixels[0][0], side);
            let (least, most) = (of(f32::min), of(f32::max));
            assert!(most - least > 0.3 && least >= 0.0, "{kind}.{ending}: {least} to {most}");
        }
    }
    // A stop a step, by the published ACEScct: one stop is 1/17.52 of signal.
    let wedge = dir.path().join("steps.tiff");
    greywright("pattern wedge --size 960x16 --encoding ACEScct --out").with(&wedge).done();
    let pixels = read(&wedge).frame.to_pixels(Range::Full);
    let mut levels: Vec<f32> = pixels.iter().map(|pixel| pixel[1]).collect();
    levels.sort_by(f32::total_cmp);
    levels.dedup();
    let log: Vec<f32> = levels.into_iter().filter(|&level| level > 0.2).collect();
    assert!(log.len() >= 5, "{log:?}");
    for pair in log.windows(2) {
        // Two 16-bit roundings lie between the levels.
        assert!((pair[1] - pair[0] - 1.0 / 17.52).abs() < 2.0 / 65535.0, "{pair:?}");
    }
}

#[test]
fn sequences_with_gaps_are_seen_refused_and_skipped() {
    let dir = folder();
    let original = sequence(dir.path(), &[3, 4, 7, 9, 10, 11], Size::new(16, 9));
    let told = greywright("inspect --json").with(&original).done().json();
    assert_eq!((told[0]["first"].as_i64(), told[0]["last"].as_i64()), (Some(3), Some(11)));
    assert_eq!(told[0]["missing"], "frames 5-6, 8");
    let out = dir.path().join("out");
    let to = out.join("a.%04d.dpx");
    render(&original, &to).fails(1, &["frames 5-6, 8", "--gaps skip"]);
    assert!(!out.exists() || files(&out).is_empty(), "nothing is written before all frames are there");
    let answer = render(&original, &to).with("--gaps").with("skip").done();
    assert!(answer.stderr.contains("frames 5-6, 8"), "{answer}");
    let names: Vec<_> = files(&out).into_keys().collect();
    let wanted = ["a.0003.dpx", "a.0004.dpx", "a.0007.dpx", "a.0009.dpx", "a.0010.dpx", "a.0011.dpx"];
    assert_eq!(names, wanted);
    // A part without a gap needs no leave; a part beyond the end does.
    let part = dir.path().join("part");
    render(&original, &part.join("a.####.dpx")).with("--frames").with("9-11").done();
    assert_eq!(files(&part).len(), 3);
    render(&original, &part.join("b.####.dpx")).with("--frames").with("9-12").fails(1, &["frame 12"]);
    render(&original, &part.join("b.####.dpx")).with("--frames").with("20-30").fails(1, &["3-11"]);
    render(&original, &part.join("b.####.dpx")).with("--frames").with("9-3").fails(2, &["9 comes after 3"]);
    // A folder is named by itself.
    let whole =
        render(dir.path(), &dir.path().join("whole/a.####.dpx")).with("--gaps").with("skip").with("--json").done();
    assert_eq!(whole.json()["written"], 6);
}

#[test]
fn an_unknown_original_is_asked_for() {
    let dir = folder();
    let original = sequence(dir.path(), &[1], Size::new(16, 9));
    let to = dir.path().join("out/a.%04d.dpx");
    let chain = "exposure stops=1 | output-transform rendering=plain";
    render(&original, &to).chain(chain).fails(2, &["not known", "--input NAME", "input-transform encoding=NAME"]);
    assert!(files(&dir.path().join("out")).is_empty());
    let told = render(&original, &to).chain(chain).with("--input").with("logc3").with("--ei").with("800").done();
    let by_input = files(&dir.path().join("out"));
    assert!(told.stdout.contains("1 of 1 frames"), "{told}");
    render(&original, &to).chain(&format!("input-transform encoding=LogC3 ei=800 | {chain}")).done();
    assert_eq!(by_input, files(&dir.path().join("out")), "told either way, the picture is the same");
    render(&original, &to).chain(chain).with("--input").with("LogC9").fails(2, &["--input", "LogC3", "LogC4"]);
}

/// What the file says of itself is believed where it can be trusted: an OpenEXR with the primaries of ACEScg is that.
#[test]
fn trusted_metadata_needs_no_word_from_the_user() {
    let dir = folder();
    let original = dir.path().join("ramp.exr");
    greywright("pattern ramp-stops --size 64x16 --encoding ACEScg --out").with(&original).done();
    let told = greywright("inspect --json").with(&original).done().json();
    assert_eq!(told[0]["encoding"], "ACEScg");
    let out = dir.path().join("out.exr");
    render(&original, &out).chain("exposure stops=1").with("--depth").with("half").done();
    let (before, after) = (read(&original).frame.to_pixels(Range::Full), read(&out).frame.to_pixels(Range::Full));
    for (before, after) in before.iter().zip(&after) {
        // A stop is one step of a half float's exponent.
        assert_eq!(before[1] * 2.0, after[1]);
    }
    assert_eq!(greywright("inspect --json").with(&out).done().json()[0]["encoding"], "ACEScg");
}

#[test]
fn frames_with_numbers_that_are_none_are_mended_and_counted() {
    let dir = folder();
    let native = if cfg!(target_endian = "big") { ByteOrder::Big } else { ByteOrder::Little };
    let values = [0.25, f32::NAN, f32::INFINITY, f32::NEG_INFINITY, f32::NAN, 1.0];
    let bytes = values.iter().flat_map(|value| value.to_ne_bytes()).collect();
    let layout = Layout::new(Channels::Rgb, Samples::Float, native);
    let original = dir.path().join("odd.exr");
    write(&original, &Frame::new(Size::new(2, 1), layout, bytes, 0).expect("two pixels"), &About::default());
    for adapter in [None, Some("none")] {
        let out = dir.path().join("out.exr");
        let mut run = render(&original, &out).with("--depth").with("float").with("--json");
        if let Some(name) = adapter {
            run = run.env("GREYWRIGHT_ADAPTER", name);
        }
        let answer = run.done();
        assert!(answer.stderr.contains("2 NaN and 2 infinite values were replaced"), "{answer}");
        assert_eq!((answer.json()["nan"].as_u64(), answer.json()["infinite"].as_u64()), (Some(2), Some(2)));
        let pixels = read(&out).frame.to_pixels(Range::Full);
        assert_eq!(pixels, [[0.25, 0.0, 65504.0, 1.0], [-65504.0, 0.0, 1.0, 1.0]]);
    }
}

#[test]
fn originals_are_never_written_over() {
    let dir = folder();
    let original = sequence(dir.path(), &[1, 2], Size::new(16, 9));
    let before = files(dir.path());
    let refused = |from: &Path, to: &Path| {
        render(from, to).chain("exposure stops=1").with("--input").with("LogC3").fails(1, &["original", "elsewhere"]);
        assert_eq!(before, files(dir.path()));
    };
    refused(&original, &original);
    refused(&original, &dir.path().join("shot.####.dpx"));
    refused(dir.path(), &dir.path().join("../").join(dir.path().file_name().expect("a name")).join("shot.%04d.dpx"));
    let first = dir.path().join("shot.0001.dpx");
    refused(&first, &first);
}

#[test]
fn time_code_and_rate_travel() {
    let dir = folder();
    let layout = Layout::new(Channels::Rgb, Samples::Ten, ByteOrder::Big);
    for number in 1..=2 {
        let frame = any_frame(layout, Size::new(16, 9), number);
        // 10:59:58:22 and :23, one decimal digit a nibble (SMPTE ST 268-1).
        let timecode = Some(Timecode { time: 0x1059_5821 + u32::try_from(number).expect("a small number"), user: 7 });
        let about = About { timecode, rate: Some(24.0), ..About::default() };
        write(&dir.path().join(format!("shot.{number:04}.dpx")), &frame, &about);
    }
    for ending in ["dpx", "exr"] {
        let out = dir.path().join(ending);
        render(&dir.path().join("shot.%04d.dpx"), &out.join(format!("a.%04d.{ending}"))).chain(MAIN).done();
        for number in 1..=2 {
            let original = read(&dir.path().join(format!("shot.{number:04}.dpx"))).about;
            let result = read(&out.join(format!("a.{number:04}.{ending}"))).about;
            assert!(original.timecode.is_some() && original.rate == Some(24.0));
            assert_eq!((result.timecode, result.rate), (original.timecode, original.rate), "{ending} {number}");
        }
    }
}

/// The bytes of the files that a render with this environment leaves.
fn rendered(
    original: &Path,
    ending: &str,
    depth: &str,
    environment: &[(&'static str, &str)],
) -> BTreeMap<String, Vec<u8>> {
    let dir = folder();
    let mut run =
        render(original, &dir.path().join(format!("a.%04d.{ending}"))).chain(MAIN).with("--depth").with(depth);
    for (name, value) in environment {
        run = run.env(name, *value);
    }
    let answer = run.done();
    let lost = environment.iter().any(|(name, _)| *name == "GREYWRIGHT_LOSE_DEVICE");
    assert_eq!(answer.stderr.contains("lost and opened again 1 times"), lost, "{answer}");
    files(dir.path())
}

/// Tiles and a lost device change no byte.
#[test]
fn tiles_and_a_lost_device_change_nothing() {
    if adapter().is_none() {
        return;
    }
    let dir = folder();
    let original = sequence(dir.path(), &[1, 2, 3, 4], Size::new(131, 67));
    for (ending, depth) in [("dpx", "10"), ("exr", "float"), ("exr", "half"), ("tiff", "16")] {
        let plain = rendered(&original, ending, depth, &[]);
        assert_eq!(plain.len(), 4);
        assert_eq!(plain, rendered(&original, ending, depth, &[]), "the same command gives the same bytes");
        for tile in ["7", "64"] {
            assert!(
                plain == rendered(&original, ending, depth, &[("GREYWRIGHT_TILE", tile)]),
                "{ending}, tiles of {tile}"
            );
        }
        for frame in ["1", "3"] {
            let lost = rendered(&original, ending, depth, &[("GREYWRIGHT_LOSE_DEVICE", frame)]);
            assert!(plain == lost, "{ending}, the device lost after frame {frame} was sent");
        }
    }
    let both = [("GREYWRIGHT_TILE", "32"), ("GREYWRIGHT_LOSE_DEVICE", "2")];
    assert!(
        rendered(&original, "dpx", "10", &[]) == rendered(&original, "dpx", "10", &both),
        "tiles and a lost device"
    );
}

/// Without an adapter the proof renders: the same 10-bit codes, but where the value lies on the edge between two.
///
/// A value correctly rounded to single float is off by 1.5e-8 on average near white, 1.5e-5 of a 10-bit code, and such a
/// share of samples falls on the other side of an edge whatever is done; so the share is held to a few times that. A
/// differing code is held to lie within half a 12-bit code of an edge by the proof's own unrounded value, which is how
/// `verify` judges displays; noise makes dark channels out of the difference of very bright ones.
#[test]
fn without_an_adapter_the_proof_renders_the_same_picture() {
    if adapter().is_none() {
        return;
    }
    let dir = folder();
    let original = sequence(dir.path(), &[1, 2], Size::new(480, 270));
    let none = [("GREYWRIGHT_ADAPTER", "none")];
    let gpu = rendered(&original, "dpx", "10", &[]);
    let proof = rendered(&original, "dpx", "10", &none);
    let exact = dir.path().join("exact");
    render(&original, &exact.join("a.%04d.exr"))
        .chain(MAIN)
        .with("--depth")
        .with("float")
        .env(none[0].0, "none")
        .done();
    let (mut samples, mut apart) = (0u32, 0u32);
    for (name, bytes) in &gpu {
        let values = read(&exact.join(name.replace("dpx", "exr"))).frame.to_pixels(Range::Full);
        let values = values.iter().flat_map(|pixel| &pixel[..3]);
        for ((a, b), value) in codes(bytes).into_iter().zip(codes(&proof[name])).zip(values) {
            samples += 1;
            if a != b {
                apart += 1;
                let from_edge = (f64::from(*value) * 1023.0 - f64::from(a.min(b)) - 0.5).abs();
                assert!(
                    a.abs_diff(b) == 1 && from_edge < 0.5 / 4095.0 * 1023.0,
                    "{name}: {a}, by the proof {b} of {value}"
                );
            }
        }
    }
    println!("{apart} of {samples} codes differ by one");
    assert!(samples > 700_000 && f64::from(apart) <= 5e-5 * f64::from(samples), "{apart} of {samples}");
}

/// The codes of a 10-bit DPX, filled by method A: three from the top of each word (SMPTE ST 268-1).
fn codes(bytes: &[u8]) -> Vec<u32> {
    let words = bytes[2048..].chunks_exact(4).map(|word| u32::from_be_bytes([word[0], word[1], word[2], word[3]]));
    words.flat_map(|word| [word >> 22, word >> 12 & 1023, word >> 2 & 1023]).collect()
}
