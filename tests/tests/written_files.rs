//! Every format and depth that the program writes, read back by OpenImageIO: known frames of all codes go in, and what
//! comes out must be those codes, and for floats the same bits; time code, rate and pixel aspect arrive where a format
//! has a place for them.
//!
//! Without the Python that `GREYWRIGHT_PYTHON` names this is skipped with a printed reason.

use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Samples, Size};
use media::{About, Timecode};
use tests::outside::{half, read_outside};
use tests::program::{greywright, python, reference};

/// A frame whose samples are known: codes, or the bits of halves and floats.
struct Known {
    name: &'static str,
    frame: Frame,
    words: Vec<u32>,
}

/// A known frame; `word` gives the samples of pixel `n`.
fn known(name: &'static str, size: (u32, u32), layout: Layout, word: impl Fn(u32) -> [u32; 4]) -> Known {
    let size = Size::new(size.0, size.1);
    let channels = if layout.has_alpha() { 4 } else { 3 };
    let pixels: Vec<[u32; 4]> = (0..size.pixels() as u32).map(word).collect();
    let words: Vec<u32> = pixels.iter().flat_map(|pixel| pixel[..channels].to_vec()).collect();
    let big = layout.order == ByteOrder::Big;
    let bytes: Vec<u8> = match layout.samples {
        Samples::Ten => pixels
            .iter()
            .flat_map(|[red, green, blue, _]| {
                let word = red << 22 | green << 12 | blue << 2;
                if big { word.to_be_bytes() } else { word.to_le_bytes() }
            })
            .collect(),
        Samples::Float => {
            words.iter().flat_map(|word| if big { word.to_be_bytes() } else { word.to_le_bytes() }).collect()
        }
        Samples::Codes(_) | Samples::Half => words
            .iter()
            .flat_map(|word| {
                let word = u16::try_from(*word).expect("16 bits");
                if big { word.to_be_bytes() } else { word.to_le_bytes() }
            })
            .collect(),
    };
    let frame = Frame::new(size, layout, bytes, 0).unwrap_or_else(|error| panic!("{name}: {error}"));
    Known { name, frame, words }
}

/// A number that has nothing to do with its neighbours'.
fn scattered(n: u32) -> u32 {
    n.wrapping_mul(2_654_435_761).rotate_left(13).wrapping_mul(2_246_822_519)
}

/// What a file is to hold.
struct Check {
    what: String,
    file: PathBuf,
    size: Size,
    channels: usize,
    kind: &'static str,
    words: Vec<u32>,
    /// How far a code may be off, in 65535ths; floats by so many steps of their last bit.
    apart: u32,
}

/// Puts a known frame through the program and says what is to come out.
struct Bench<'a> {
    folder: &'a Path,
    checks: Vec<Check>,
}

impl Bench<'_> {
    /// Writes `known` as `original`, renders it to `ending` with `depth` by an empty chain, and expects `words`.
    fn put(&mut self, known: &Known, original: &str, (ending, depth, kind): Out, words: Vec<u32>, apart: u32) {
        let number = self.checks.len();
        let from = self.folder.join(format!("{number}_in.{original}"));
        media::write(&from, &known.frame, &About::default()).unwrap_or_else(|error| panic!("{error}"));
        let file = self.folder.join(format!("{number}_out.{ending}"));
        let answer = greywright("render").with(&from).with(&file).with("--depth").with(depth).done();
        assert!(!answer.stderr.contains("replaced"), "{}: every sample is a number: {answer}", known.name);
        self.checks.push(Check {
            what: format!("{} as {original} to {depth} {ending}", known.name),
            file,
            size: known.frame.size(),
            channels: if known.frame.layout().has_alpha() { 4 } else { 3 },
            kind,
            words,
            apart,
        });
    }
}

/// The ending of a file, the depth asked for, and what OpenImageIO is to call its samples.
type Out = (&'static str, &'static str, &'static str);

const DPX_10: Out = ("dpx", "10", "10");
const DPX_16: Out = ("dpx", "16", "16");
const TIFF_16: Out = ("tif", "16", "16");
const PNG_16: Out = ("png", "16", "16");
const PNG_8: Out = ("png", "8", "8");
const EXR_HALF: Out = ("exr", "half", "half");
const EXR_FLOAT: Out = ("exr", "float", "float");

const LITTLE: ByteOrder = ByteOrder::Little;
const BIG: ByteOrder = ByteOrder::Big;

fn rgb(samples: Samples, order: ByteOrder) -> Layout {
    Layout::new(Channels::Rgb, samples, order)
}

/// All codes of 10 bits, up, down and scattered; a picture of odd sides.
fn ten(order: ByteOrder, size: (u32, u32)) -> Known {
    known("ten bits", size, rgb(Samples::Ten, order), |n| [n % 1024, 1023 - n % 1024, scattered(n) % 1024, 0])
}

/// All codes of 16 bits.
fn sixteen(size: (u32, u32)) -> Known {
    known("sixteen bits", size, rgb(Samples::U16, BIG), |n| [n & 0xffff, 0xffff - (n & 0xffff), scattered(n) >> 16, 0])
}

/// Codes of 16 bits with every alpha; colour is multiplied by it, as in a frame.
fn sixteen_alpha(size: (u32, u32)) -> Known {
    known("sixteen bits and alpha", size, Layout::new(Channels::Rgba, Samples::U16, BIG), |n| {
        let alpha = n & 0xffff;
        let part = |n: u32| (u64::from(alpha) * u64::from(scattered(n) >> 16) / 65535) as u32;
        [part(n), part(n + 7), alpha, alpha]
    })
}

fn eight(size: (u32, u32)) -> Known {
    known("eight bits", size, rgb(Samples::Codes(8), LITTLE), |n| [n % 256, 255 - n % 256, scattered(n) % 256, 0])
}

/// All halves but NaN and infinity, whose exponent is 31 (IEEE 754).
fn halves(channels: Channels, size: (u32, u32)) -> Known {
    let finite = |bits: u32| if bits >> 10 & 31 == 31 { bits & !(1 << 10) } else { bits };
    known("halves", size, Layout::new(channels, Samples::Half, LITTLE), move |n| {
        [n, 0xffff - n % 0x10000, scattered(n) >> 16, n / 7].map(|bits| finite(bits & 0xffff))
    })
}

/// Floats of every exponent but that of NaN and infinity, which is 255 (IEEE 754).
fn floats(size: (u32, u32)) -> Known {
    let finite = |bits: u32| if bits >> 23 & 255 == 255 { bits & !(1 << 23) } else { bits };
    known("floats", size, rgb(Samples::Float, LITTLE), move |n| {
        [n, n + 100_000, n + 200_000, 0].map(|n| finite(scattered(n)))
    })
}

/// Codes up to `from` as the nearest codes up to `to`.
fn rescaled(words: &[u32], from: u64, to: u64) -> Vec<u32> {
    words.iter().map(|word| ((2 * u64::from(*word) * to + from) / (2 * from)) as u32).collect()
}

/// The bits of the float that a half is: exact, since every half is a float (IEEE 754).
fn float_from_half(bits: u32) -> u32 {
    (half(bits) as f32).to_bits()
}

/// How far a check and the outside part, in words, if too far.
fn difference(check: &Check, theirs: &[u32]) -> Option<String> {
    // Steps of a float are counted as those of its bits.
    let highest = check.kind.parse::<u32>().map_or(65535, |bits| (1_u64 << bits) - 1);
    let far =
        |(word, other): &(&u32, &u32)| u64::from(word.abs_diff(**other)) * 65535 > highest * u64::from(check.apart);
    let wrong = check.words.iter().zip(theirs).filter(far).count();
    let (at, (word, other)) = check.words.iter().zip(theirs).enumerate().find(|(_, pair)| far(pair))?;
    let (pixel, channel) = (at / check.channels, at % check.channels);
    Some(format!("{}: {wrong} samples differ; pixel {pixel}, channel {channel}: {word}, outside {other}", check.what))
}

#[test]
fn every_format_and_depth_is_read_outside_as_it_was_meant() {
    let Some(python) = python() else { return };
    let dir = tempfile::tempdir().expect("a folder can be made");
    let mut bench = Bench { folder: dir.path(), checks: Vec::new() };
    for order in [BIG, LITTLE] {
        for size in [(33, 35), (1, 1), (5, 1), (1, 7)] {
            let known = ten(order, size);
            bench.put(&known, "dpx", DPX_10, known.words.clone(), 0);
        }
    }
    let known = ten(BIG, (33, 35));
    for out in [DPX_16, TIFF_16, PNG_16] {
        bench.put(&known, "dpx", out, rescaled(&known.words, 1023, 65535), 1);
    }
    for known in
        [sixteen((257, 257)), sixteen((1, 1)), sixteen((3, 5)), sixteen_alpha((257, 257)), sixteen_alpha((7, 1))]
    {
        for out in [DPX_16, TIFF_16, PNG_16] {
            bench.put(&known, "dpx", out, known.words.clone(), 1);
        }
    }
    for known in [eight((17, 19)), eight((1, 3))] {
        bench.put(&known, "png", PNG_8, known.words.clone(), 0);
        bench.put(&known, "png", PNG_16, rescaled(&known.words, 255, 65535), 1);
    }
    for known in [halves(Channels::Rgb, (257, 257)), halves(Channels::Rgba, (257, 257)), halves(Channels::Rgb, (3, 17))]
    {
        bench.put(&known, "exr", EXR_HALF, known.words.clone(), 0);
        let floats = known.words.iter().map(|word| float_from_half(*word)).collect();
        // Colour is divided by alpha before a chain and multiplied by it after: each rounds by half a step at most, and
        // the quotient's error may be twice as many steps of the product. A half of 11 bits is too coarse to show it.
        let apart = if known.frame.layout().has_alpha() { 2 } else { 0 };
        bench.put(&known, "exr", EXR_FLOAT, floats, apart);
    }
    for known in [floats((257, 129)), floats((1, 1)), floats((33, 17))] {
        bench.put(&known, "exr", EXR_FLOAT, known.words.clone(), 0);
    }
    let checks = bench.checks;
    let files: Vec<&Path> = checks.iter().map(|check| check.file.as_path()).collect();
    let mut wrong = Vec::new();
    for (check, outside) in checks.iter().zip(read_outside(&python, &files, dir.path())) {
        let outside = outside.unwrap_or_else(|word| panic!("{}: OpenImageIO refuses it: {word}", check.what));
        let Size { width, height } = check.size;
        assert_eq!(
            (outside.width, outside.height, outside.channels),
            (width, height, check.channels),
            "{}",
            check.what
        );
        // Alpha of PNG is not associated; the script multiplies it in.
        let is_png = check.file.extension().is_some_and(|ending| ending == "png");
        let kind = if check.channels == 4 && is_png { "associated" } else { check.kind };
        assert_eq!(outside.kind, kind, "{}", check.what);
        let theirs = outside.samples();
        assert_eq!(theirs.len(), check.words.len(), "{}", check.what);
        wrong.extend(difference(check, &theirs));
    }
    println!("{} files written and read back", checks.len());
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// Time code of 29.97 drop-frame with user bits, its rate, and pixels twice as wide as high.
fn telling() -> About {
    About {
        timecode: Some(Timecode { time: 0x0102_0344, user: 0x1234_5678 }),
        rate: Some(30000.0 / 1001.0),
        pixel_aspect: Some(2.0),
        ..About::default()
    }
}

/// Sources: SMPTE ST 268-1 (television and film headers), OpenEXR standard attributes `timeCode`, `framesPerSecond` and
/// `pixelAspectRatio`, PNG third edition `pHYs`, TIFF 6.0 `XResolution` and `YResolution`.
#[test]
fn what_files_tell_is_read_outside() {
    let Some(python) = python() else { return };
    let dir = tempfile::tempdir().expect("a folder can be made");
    let path = |name: &str| dir.path().join(name);
    let known = halves(Channels::Rgb, (7, 5));
    media::write(&path("original.exr"), &known.frame, &telling()).unwrap_or_else(|error| panic!("{error}"));
    // Most go through two files: nothing is lost on the way.
    let renders = [
        ("original.exr", "a.dpx"),
        ("original.exr", "b.exr"),
        ("b.exr", "c.png"),
        ("a.dpx", "d.exr"),
        ("a.dpx", "e.dpx"),
        ("b.exr", "f.tif"),
    ];
    for (from, to) in renders {
        greywright("render").with(path(from)).with(path(to)).done();
    }
    let files = renders.map(|(_, to)| path(to).display().to_string());
    let answer = reference(&python, "read_about.py", &files.each_ref().map(String::as_str));
    let told: serde_json::Value = serde_json::from_str(&answer).expect("the script writes JSON");
    for (at, (_, name)) in renders.iter().enumerate() {
        let told = &told[at];
        assert_eq!(told["aspect"].as_f64(), Some(2.0), "{name}: {told}");
        if name.ends_with("dpx") || name.ends_with("exr") {
            let words = (told["timecode"].as_u64(), told["user"].as_u64());
            assert_eq!(words, (Some(0x0102_0344), Some(0x1234_5678)), "{name}: {told}");
            // A header of DPX holds a single float.
            let rate = told["rate"].as_f64().unwrap_or_else(|| panic!("{name}: no rate in {told}"));
            assert!((rate - 30000.0 / 1001.0).abs() < 2e-6, "{name}: {told}");
        }
        if name.ends_with("dpx") {
            assert_eq!(told["film_rate"], told["rate"], "{name}: both headers say the same");
        }
    }
}

/// The words for how a picture was rendered stand in a field that another library reads as text, whatever the format.
/// Sources: TIFF 6.0 `ImageDescription`, PNG third edition `tEXt`, OpenEXR attributes of type `string`, SMPTE ST 268-1
/// description of an image element.
#[test]
fn how_a_picture_was_rendered_is_read_outside() {
    let Some(python) = python() else { return };
    let dir = tempfile::tempdir().expect("a folder can be made");
    let path = |name: &str| dir.path().join(name);
    let known = halves(Channels::Rgb, (7, 5));
    media::write(&path("scene.exr"), &known.frame, &About::default()).unwrap_or_else(|error| panic!("{error}"));
    let render = |from: &str, to: &str, chain: &str| {
        let mut command = greywright("render").with(path(from)).with(path(to));
        if !chain.is_empty() {
            command = command.chain(chain);
        }
        command.done()
    };
    let display = "output-transform display=PQ peak=1000 rendering=plain";
    let words = "PQ, 1000 nits, plain";
    let files = ["a.png", "b.tif", "c.exr", "d.dpx"];
    for file in files {
        let answer = render("scene.exr", file, &format!("input-transform encoding=ACEScg | {display}"));
        assert!(answer.stdout.contains(&format!("rendering: {words}\n")), "{answer}");
    }
    let paths = files.map(|name| path(name).display().to_string());
    let answer = reference(&python, "read_about.py", &paths.each_ref().map(String::as_str));
    let told: serde_json::Value = serde_json::from_str(&answer).expect("the script writes JSON");
    for (at, name) in files.iter().enumerate() {
        let texts: Vec<_> =
            told[at]["texts"].as_array().into_iter().flatten().filter_map(|text| text.as_str()).collect();
        assert!(texts.iter().any(|text| text.trim_start_matches("rendering: ") == words), "{name}: {texts:?}");
    }
    // A picture that is only handed on keeps its words; one that is made light again has none.
    render("d.dpx", "e.png", "");
    render("d.dpx", "f.exr", "input-transform encoding=PQ");
    let said = |name: &str| media::read(&path(name)).unwrap_or_else(|error| panic!("{error}")).about.rendering;
    assert_eq!((said("e.png").as_deref(), said("f.exr")), (Some(words), None));
}
