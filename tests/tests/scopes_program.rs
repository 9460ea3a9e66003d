//! `scopes` as a user meets it: published bars land on their codes and in their targets, every place of a chain can be
//! measured, nothing is lost, a stray pixel is seen, and the pictures are those that were found good.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::{About, Depth, Format, layout_for};
use serde_json::Value;
use tests::program::{Answer, greywright};
use tests::table::{self, Row, number, rows};

/// Columns and rows of a bar.
const BAR: [u32; 2] = [4, 3];

/// A 10-bit DPX file of bars side by side.
fn bars(dir: &Path, name: &str, codes: &[[u32; 3]]) -> PathBuf {
    let size = Size::new(codes.len() as u32 * BAR[0], BAR[1]);
    let words = codes.iter().flat_map(|[r, g, b]| [r << 22 | g << 12 | b << 2; BAR[0] as usize]);
    let row: Vec<u8> = words.flat_map(u32::to_be_bytes).collect();
    let layout = layout_for(Format::Dpx, Depth::Ten, Channels::Rgb).expect("DPX holds ten bits");
    assert_eq!((layout.samples, layout.order), (Samples::Ten, ByteOrder::Big));
    let frame = Frame::new(size, layout, row.repeat(BAR[1] as usize), 0).expect("as many bytes as pixels");
    let path = dir.join(name);
    media::write(&path, &frame, &About::default()).expect("a file");
    path
}

/// A file of pixels.
fn picture(dir: &Path, name: &str, size: Size, pixels: &[[f32; 4]], depth: Depth) -> PathBuf {
    let path = dir.join(name);
    let layout = layout_for(Format::of_path(&path).expect("an ending"), depth, Channels::Rgb).expect("a layout");
    media::write(&path, &Frame::from_pixels(pixels, size, layout, Range::Full), &About::default()).expect("a file");
    path
}

fn codes(row: &Row) -> [u32; 3] {
    ["R10", "G10", "B10"].map(|column| number(row, column) as u32)
}

/// A scope of an answer.
fn scope(answer: &Answer, name: &str) -> Value {
    let json = answer.json();
    let all = json["scopes"].as_array().expect("scopes").clone();
    all.into_iter().find(|scope| scope["scope"] == name).unwrap_or_else(|| panic!("no {name}: {answer}"))
}

/// The rows of one channel: across, up and pixels.
fn cells(scope: &Value, channel: &str) -> Vec<(String, String, u64)> {
    let rows = scope["rows"].as_array().expect("rows").iter().filter(|row| row["channel"] == channel);
    let text = |value: &Value| value.as_str().expect("a text").to_string();
    rows.map(|row| (text(&row["across"]), text(&row["up"]), row["pixels"].as_u64().expect("a count"))).collect()
}

/// The one level that a channel has over a column.
fn level(scope: &Value, channel: &str, column: u32) -> String {
    let column = column.to_string();
    let found: Vec<_> = cells(scope, channel).into_iter().filter(|(across, ..)| *across == column).collect();
    let [(_, up, pixels)] = &found[..] else { panic!("{channel} over column {column}: {found:?}") };
    assert_eq!(*pixels, u64::from(BAR[1]));
    up.clone()
}

/// Sources: Rec. ITU-R BT.2111-2, SMPTE RP 219-1 (through the tables' own source), Rec. ITU-R BT.709-6 and BT.2020-2.
#[test]
fn published_bars_stand_on_their_codes_in_the_parade() {
    let dir = tempfile::tempdir().expect("a folder");
    let of = |system: &str| rows("bt2111_bars.tsv").into_iter().filter(|row| row["system"] == system).collect();
    let tables: [(&str, &str, &str, Vec<Row>); 4] = [
        ("rp219", "BT.1886", "legal", rows("rp219_bars.tsv")),
        ("hlg", "HLG", "legal", of("HLG legal")),
        ("pq", "PQ", "legal", of("PQ legal")),
        ("pq_full", "PQ", "full", of("PQ full")),
    ];
    for (name, encoding, range, table) in tables {
        assert!(table.len() > 15, "{name}: {} rows", table.len());
        let codes: Vec<_> = table.iter().map(codes).collect();
        let path = bars(dir.path(), &format!("{name}.dpx"), &codes);
        let run =
            greywright("scopes --json --scopes parade,histogram --input").with(encoding).with("--range").with(range);
        let answer = run.with(path).done();
        let (parade, histogram) = (scope(&answer, "parade"), scope(&answer, "histogram"));
        for (bar, (code, row)) in (0..).zip(codes.iter().zip(&table)) {
            for (channel, code) in ["red", "green", "blue"].into_iter().zip(code) {
                for column in bar * BAR[0]..(bar + 1) * BAR[0] {
                    assert_eq!(level(&parade, channel, column), code.to_string(), "{name}: {row:?}");
                }
                let counted = cells(&histogram, channel).iter().any(|(_, up, _)| *up == code.to_string());
                assert!(counted, "{name}: {code} is not in the histogram of {channel}");
            }
        }
    }
}

/// Source: as above; the 75 % and 100 % bars of Rec. ITU-R BT.471-1 through the matrices of BT.601-7, BT.709-6 and BT.2020-2.
#[test]
fn bars_stand_in_their_targets_on_the_vectorscope() {
    let dir = tempfile::tempdir().expect("a folder");
    for (matrix, encoding, told) in
        [("BT.709", "BT.1886", false), ("BT.2020", "HLG", false), ("BT.601", "BT.1886", true)]
    {
        let table = rows("scopes.tsv").into_iter().filter(|row| row["kind"] == "bar" && row["matrix"] == matrix);
        let table: Vec<Row> = table.collect();
        assert_eq!(table.len(), 16);
        let path = bars(dir.path(), &format!("{matrix}.dpx"), &table.iter().map(codes).collect::<Vec<_>>());
        let run = greywright("scopes --json --range legal --scopes waveform,vectorscope --input").with(encoding);
        // Primaries do not tell standard definition from high.
        let run = if told { run.with("--matrix").with(matrix) } else { run };
        let answer = run.with(path).done();
        let luma = scope(&answer, "waveform");
        for (bar, row) in (0..).zip(&table) {
            assert_eq!(level(&luma, "luma", bar * BAR[0]), number(row, "Y10").to_string(), "{row:?}");
        }
        let vectorscope = scope(&answer, "vectorscope");
        let found: BTreeSet<_> = cells(&vectorscope, "all").into_iter().map(|(cb, cr, _)| (cb, cr)).collect();
        let want = table.iter().map(|row| (number(row, "Cb10").to_string(), number(row, "Cr10").to_string()));
        assert_eq!(found, want.collect(), "{matrix}");
    }
}

/// A chain's places: mid grey in LogC3 is code 400 of 1023 at EI 800 (source: the maker's paper; 0.391 of signal).
#[test]
fn every_place_of_a_chain_can_be_measured() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = bars(dir.path(), "grey.dpx", &[[400; 3]]);
    let chain = "input-transform encoding=LogC3 | exposure stops=+1 | output-transform display=PQ rendering=plain";
    let at = |place: &str| {
        let run = greywright("scopes --json --scopes histogram").with(&path).chain(chain);
        let run = if place.is_empty() { run } else { run.with("--at").with(place) };
        let answer = run.done();
        let found = cells(&scope(&answer, "histogram"), "green");
        assert_eq!(found.len(), 1, "{answer}");
        (answer.json(), found[0].1.clone())
    };
    let (original, code) = at("original");
    assert_eq!((original["at"].as_str(), code.as_str()), (Some("original"), "400"));
    let stops = |place: &str| at(place).1.parse::<f64>().expect("stops");
    // A bin of 18 stops in 512, to either side.
    let bin = 18.0 / 511.0;
    assert!(stops("after=0").abs() <= bin, "{}", stops("after=0"));
    assert!((stops("after=exposure") - 1.0).abs() <= bin);
    assert_eq!((stops("scene"), stops("after 1")), (stops("after=1"), stops("after=exposure")));
    // Twice 18 nits: PQ's signal of 36 nits is 0.40952 (Rec. ITU-R BT.2100-2, table 4, by colour-science), a bin of 1.2 in 512 either side.
    let (display, percent) = at("display");
    let percent: f64 = percent.parse().expect("percent");
    assert!((percent - 40.952).abs() < 0.25, "{percent}");
    assert_eq!(display["scopes"][0]["up"]["name"], "nits");
    assert!(display["scopes"][0]["up"]["ticks"].as_array().is_some_and(|ticks| ticks.iter().any(|tick| tick == "203")));
    assert!(display["rendering"].as_str().is_some_and(|words| words.contains("plain")), "{display}");
    let (result, _) = at("");
    assert_eq!((&result["at"], &result["scopes"]), (&Value::from("result"), &display["scopes"]));
}

#[test]
fn no_pixel_is_lost_and_what_is_no_number_is_counted_apart() {
    let dir = tempfile::tempdir().expect("a folder");
    let size = Size::new(37, 11);
    let mut pixels = vec![[0.18, 0.2, 0.1, 1.0]; size.pixels()];
    pixels[5] = [f32::NAN, 0.1, 0.1, 1.0];
    pixels[40] = [1e4, -3.0, 0.0, 1.0];
    pixels[41] = [0.0, 0.0, 0.0, 1.0];
    let path = picture(dir.path(), "odd.exr", size, &pixels, Depth::Float);
    let csv = dir.path().join("odd.csv");
    let run =
        greywright("scopes --json --input ACEScg --scopes waveform,parade,histogram,chromaticity,chromaticity-xy");
    let run = run.with(&path).with("--csv").with(&csv);
    let answer = run.done();
    let mut lines = 1;
    for scope in answer.json()["scopes"].as_array().expect("scopes") {
        let channels: BTreeSet<_> =
            scope["rows"].as_array().expect("rows").iter().map(|row| row["channel"].to_string()).collect();
        for channel in &channels {
            let all = cells(scope, channel.trim_matches('"'));
            let sum: u64 = all.iter().map(|(.., pixels)| pixels).sum();
            assert_eq!(sum, size.pixels() as u64, "{}: {channel}", scope["scope"]);
            lines += all.len();
        }
    }
    assert_eq!(std::fs::read_to_string(&csv).expect("a table").lines().count(), lines);
    let not_a_number = |name: &str, channel: &str| {
        cells(&scope(&answer, name), channel)
            .iter()
            .filter(|(across, ..)| across == "not a number")
            .map(|cell| cell.2)
            .sum::<u64>()
    };
    assert_eq!((not_a_number("parade", "red"), not_a_number("parade", "green")), (1, 0));
    assert_eq!((not_a_number("waveform", "luma"), not_a_number("chromaticity", "all")), (1, 1));
    let histogram = cells(&scope(&answer, "histogram"), "green");
    assert_eq!(histogram[0].1, "below");
    // A region, and the same in tiles.
    let chain = "input-transform encoding=ACEScg | exposure stops=-1 | output-transform display=sRGB rendering=plain";
    let region = greywright("scopes --json --region 3,2,20,100 --scopes parade").with(&path).chain(chain);
    let whole = region.done();
    assert_eq!(whole.json()["region"], serde_json::json!([3, 2, 20, 9]));
    assert_eq!(scope(&whole, "parade")["total"], 180);
    assert_eq!(region.env("GREYWRIGHT_TILE", "5").done().json(), whole.json());
}

/// Columns of a sheet that the picture of the frame itself takes, its margins included.
const PICTURE: usize = 720;

/// The pixels of a sheet as codes.
fn sheet(path: &Path) -> (Size, Vec<[i32; 3]>) {
    let frame = media::read(path).unwrap_or_else(|error| panic!("{error}")).frame;
    assert_eq!(frame.layout(), Layout::new(Channels::Rgb, Samples::Codes(8), frame.layout().order));
    let pixels = frame.to_pixels(Range::Full);
    (frame.size(), pixels.iter().map(|[r, g, b, _]| [*r, *g, *b].map(|v| (v * 255.0).round() as i32)).collect())
}

#[test]
fn one_stray_pixel_among_two_million_is_seen_in_every_scope() {
    let dir = tempfile::tempdir().expect("a folder");
    let size = Size::new(1920, 1080);
    let black = vec![[0.2, 0.2, 0.2, 1.0]; size.pixels()];
    let mut stray = black.clone();
    stray[400 * 1920 + 900] = [0.7, 0.3, 0.35, 1.0];
    for scope in ["waveform", "waveform-rgb", "parade", "vectorscope", "histogram", "chromaticity", "chromaticity-xy"] {
        let draw = |name: &str, pixels: &[[f32; 4]]| {
            let original = picture(dir.path(), &format!("{name}.png"), size, pixels, Depth::Eight);
            let out = dir.path().join(format!("{name}_{scope}.png"));
            greywright("scopes --input sRGB --scopes").with(scope).with(original).with("--out").with(&out).done();
            sheet(&out)
        };
        let ((size, with), (same, without)) = (draw("stray", &stray), draw("black", &black));
        assert_eq!(size, same, "{scope}");
        let right = |at: &usize| at % size.width as usize > PICTURE;
        let seen = (0..with.len()).filter(right).filter(|at| {
            let (with, without) = (with[*at].iter().max(), without[*at].iter().max());
            with > Some(&60) && without < Some(&50)
        });
        let seen = seen.count();
        println!("{scope}: {seen} pixels of the sheet");
        assert!(seen >= 5, "{scope}: {seen} pixels of the sheet tell of it");
    }
}

/// The share of a sheet's samples that are not as in the kept picture of half its size. The picture of the frame itself, in
/// the left part, is left out.
fn apart(sheet_path: &Path, kept: &str) -> f64 {
    let (size, made) = sheet(sheet_path);
    let (half, kept_pixels) = sheet(&table::path(&format!("scopes/{kept}.png")));
    assert_eq!(half, Size::new(size.width / 2, size.height / 2), "{kept}");
    let width = size.width as usize;
    let mut apart = 0;
    for (at, pixel) in kept_pixels.iter().enumerate() {
        let (x, y) = (at % half.width as usize * 2, at / half.width as usize * 2);
        if x < PICTURE {
            continue;
        }
        for (channel, value) in pixel.iter().enumerate() {
            let four = [0, 1, width, width + 1].map(|step| made[y * width + x + step][channel]);
            apart += usize::from((four.iter().sum::<i32>() / 4 - value).abs() > 12);
        }
    }
    apart as f64 / (3 * kept_pixels.len()) as f64
}

/// What `tests/reference/make_scope_pictures.py` keeps. Letters may be set a little otherwise elsewhere: they may be apart by
/// a ten-thousandth of the sheet. Bars of another level, which change nothing but the traces, are apart by more.
#[test]
fn the_pictures_are_those_that_were_found_good() {
    const LETTERS: f64 = 1e-4;
    let dir = tempfile::tempdir().expect("a folder");
    for (scope, more) in [("vectorscope", ""), ("waveform", "--range legal"), ("histogram", ""), ("chromaticity", "")] {
        let draw = |pattern: &str| {
            let bars = dir.path().join("bars.dpx");
            greywright("pattern --size 96x40").with(pattern).with("--out").with(&bars).done();
            let out = dir.path().join(format!("{scope}.png"));
            let run = greywright(&format!("scopes --input BT.1886 --scopes {scope} {more}"));
            run.with(&bars).with("--out").with(&out).done();
            out
        };
        let (same, other) = (apart(&draw("bars75"), scope), apart(&draw("bars100"), scope));
        println!("{scope}: {:.4} % is apart, {:.4} % with bars of 100 %", 100.0 * same, 100.0 * other);
        assert!(same < LETTERS, "{scope}: {:.4} % is not as it was", 100.0 * same);
        // The chromaticity of a bar does not depend on its level.
        assert!(scope == "chromaticity" || other > LETTERS, "{scope}: bars on other codes go unnoticed");
    }
}

#[test]
fn what_cannot_be_measured_is_said() {
    let dir = tempfile::tempdir().expect("a folder");
    let path = bars(dir.path(), "bars.0007.dpx", &[[400; 3], [500; 3]]);
    let file = path.to_str().expect("a path of letters");
    let to_display = "input-transform encoding=LogC3 | output-transform display=sRGB";
    let cases: [(&str, &str, &[&str]); 14] = [
        ("", to_display, &["--out"]),
        ("--json --scopes tea", "", &["tea", "waveform"]),
        ("--json --at nowhere", "", &["original, scene, display or after=N"]),
        ("--json --at after=9", to_display, &["no such place", "0 input-transform, 1 output-transform"]),
        ("--json --at display", "input-transform encoding=LogC3", &["output-transform"]),
        ("--json --at after=0", "", &["the chain is empty"]),
        ("--json --levels stops", to_display, &["a display's signal has no stops", "--at scene"]),
        ("--json --levels nits --at scene", to_display, &["no nits", "--at display"]),
        ("--json --levels stops", "", &["not known", "--input"]),
        ("--json --scopes chromaticity", "", &["not known", "--input"]),
        ("--json --scopes vectorscope --at scene", to_display, &["linear light", "original or display"]),
        ("--json --region 8,0,4,4", "", &["nothing of it lies in the picture", "8x3"]),
        ("--json --region 1,2,3", "", &["640,300,200,150"]),
        ("--json --bits 12 --levels percent", "", &["--bits goes with --levels code"]),
    ];
    for (arguments, chain, words) in cases {
        let run = greywright(&format!("scopes {arguments}")).with(file);
        let run = if chain.is_empty() { run } else { run.chain(chain) };
        run.fails(2, words);
    }
    greywright("scopes --json").fails(2, &["IN is missing"]);
    greywright("scopes --json --frame 9").with(file).fails(1, &["9"]);
    greywright("scopes --out").with(dir.path().join("no/such/out.png")).with(file).fails(1, &["no/such"]);
    let explained = greywright("scopes --json --explain --at after=0").with(file).chain(to_display).done();
    assert!(
        explained.stderr.contains("result: AP1 linear, scene") && !explained.stderr.contains("sRGB"),
        "{explained}"
    );
    // Left out by itself, with a word.
    let answer = greywright("scopes --json").with(file).done();
    assert!(answer.stderr.contains("no chromaticity"), "{answer}");
    assert_eq!(answer.json()["scopes"].as_array().map(Vec::len), Some(4));
}
