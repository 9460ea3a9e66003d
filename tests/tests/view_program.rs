//! `view` as a user meets it: every class has the pixels that it must have, and is drawn.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use frame::{Range, Size};
use measure::view::BANDS;
use serde_json::Value;
use tests::picture::picture;
use tests::program::{Run, greywright};

const TO_DISPLAY: &str = "input-transform encoding=ACEScg | output-transform display=BT.1886 rendering=plain";

/// Greys in columns, four pixels high.
fn greys(path: &Path, greys: &[f64]) -> PathBuf {
    let row = greys.iter().map(|grey| [*grey as f32, *grey as f32, *grey as f32, 1.0]);
    picture(path, Size::new(greys.len() as u32, 4), &row.collect::<Vec<_>>().repeat(4))
}

fn view(arguments: &str, file: &Path) -> Run {
    arguments.split_whitespace().fold(greywright("view --executor proof --json").with(file), Run::with)
}

/// Pixels by class.
fn classes(run: &Run) -> BTreeMap<String, u64> {
    let json = run.done().json();
    let all = json["classes"].as_array().expect("classes").iter();
    all.map(|of| (of["class"].as_str().expect("a name").to_string(), of["pixels"].as_u64().expect("pixels"))).collect()
}

/// How often each colour is in a picture.
fn inks(path: &Path) -> BTreeMap<[u8; 3], usize> {
    let frame = media::read(path).unwrap_or_else(|error| panic!("{error}")).frame;
    let mut inks = BTreeMap::new();
    for [red, green, blue, _] in frame.to_pixels(Range::Full) {
        *inks.entry([red, green, blue].map(|v| (v * 255.0).round() as u8)).or_default() += 1;
    }
    inks
}

#[test]
fn false_colour_has_a_band_a_stop_and_draws_each() {
    let dir = tempfile::tempdir().expect("a folder");
    // Three levels to each of the fifteen bands.
    let stops = (0..45).map(|at| -7.0 + f64::from(at / 3) + 0.3 * f64::from(at % 3 - 1));
    let wedge = greys(&dir.path().join("wedge.exr"), &stops.map(|stops| 0.18 * stops.exp2()).collect::<Vec<_>>());
    let out = dir.path().join("wedge.png");
    let run = view("--as false-colour --input ACEScg --out", &wedge).with(&out);
    let classes = classes(&run);
    let bands: Vec<(&String, &u64)> = classes.iter().filter(|(_, pixels)| **pixels > 0).collect();
    assert!(bands.len() == BANDS.len() && bands.iter().all(|(_, pixels)| **pixels == 12), "{classes:?}");
    for name in ["darker than -6.5", "-1 stop", "mid grey", "+1 stop", "+6 stops", "lighter than +6.5"] {
        assert_eq!(classes[name], 12, "{name}");
    }
    let inks = inks(&out);
    for band in BANDS {
        // A pixel is drawn ten wide, and the key has it once more.
        let drawn = inks.get(&band.ink).copied().unwrap_or_default();
        assert!(drawn >= 1200 + 900, "{}: {drawn}", band.numeral);
    }
    // Two stops up, two bands up: the scene's light is what is seen, unless another place is wanted.
    let chain = "input-transform encoding=ACEScg | exposure stops=2 | output-transform display=BT.1886 rendering=plain";
    let json = view("--as false-colour", &wedge).chain(chain).done().json();
    assert_eq!((&json["at"], &json["classes"][0]["pixels"]), (&Value::from("scene"), &Value::from(36)), "{json}");
}

#[test]
fn what_is_clipped_in_the_original_is_hatched_whatever_the_chain_does() {
    let dir = tempfile::tempdir().expect("a folder");
    let codes = [0.0, 1.0, 400.0, 900.0, 1022.0, 1023.0].map(|code: f64| code / 1023.0);
    let file = greys(&dir.path().join("ends.dpx"), &codes);
    let out = dir.path().join("ends.png");
    let chain = "input-transform encoding=LogC3 | exposure stops=-6";
    let of = |more: &str| {
        let run = view(&format!("--as false-colour {more}"), &file).chain(chain);
        let found = classes(&run.with("--out").with(&out));
        (found["clipped in the original"], found["at the original's lowest code"])
    };
    assert_eq!(of(""), (4, 4));
    let drawn = inks(&out);
    // Stripes of white and black.
    assert!(drawn.get(&[250; 3]).is_some_and(|count| *count > 4 * 80 * 80 / 3), "{:?}", drawn.get(&[250; 3]));
    assert_eq!(of("--clip 85"), (12, 4));
    // Legal range: video data end at 4 and 1019 (Rec. ITU-R BT.709-6, item 4.8).
    let codes = [3.0, 4.0, 5.0, 1018.0, 1019.0, 1020.0].map(|code: f64| code / 1023.0);
    let file = greys(&dir.path().join("legal.dpx"), &codes);
    let found = classes(&view("--as warnings --input BT.1886 --range legal", &file));
    assert_eq!((found["clipped in the original"], found["at the original's lowest code"]), (8, 8));
    assert_eq!((found["at white"], found["at black"]), (4, 4));
}

#[test]
fn zebra_is_where_its_level_is() {
    let dir = tempfile::tempdir().expect("a folder");
    let ramp: Vec<f64> = (0..=200).map(|percent| f64::from(percent) / 200.0).collect();
    let file = greys(&dir.path().join("ramp.dpx"), &ramp);
    let of =
        |arguments: &str| classes(&view(&format!("--as zebra --input BT.1886 {arguments}"), &file))["in the range"];
    // 90.1 and 90.6 % are nearest codes above and so on; 10 bits hold every half percent.
    assert_eq!(of("--level 90.2%"), 4 * 20);
    assert_eq!(of("--level 59.8%..69.8%"), 4 * 20);
    let stops: Vec<f64> = (-8..8).map(|stop| 0.18 * f64::from(stop).exp2()).collect();
    let file = greys(&dir.path().join("stops.exr"), &stops);
    let of = |arguments: &str| classes(&view(&format!("--as zebra --input ACEScg {arguments}"), &file))["in the range"];
    assert_eq!((of("--level +1.9"), of("--level -2.1..0.1")), (4 * 6, 4 * 3));
}

#[test]
fn warnings_are_of_the_ends_of_the_display_and_of_the_gamut() {
    let dir = tempfile::tempdir().expect("a folder");
    let [grey, bright, black, green] = [[0.18; 3], [2.0; 3], [0.0; 3], [0.0, 0.5, 0.0]];
    let pixels = [grey, grey, bright, black, green].map(|[r, g, b]| [r, g, b, 1.0]);
    let file = picture(&dir.path().join("ends.exr"), Size::new(5, 1), &pixels);
    let found = classes(&view("--as warnings", &file).chain(TO_DISPLAY));
    assert_eq!((found["at white"], found["clipped in the original"]), (1, 0));
    // AP1's green lies outside BT.709; its light is negative there, and the gamut goes before the end.
    assert_eq!((found["at black"], found["outside the gamut"]), (1, 1), "{found:?}");
    let found = classes(&view("--as warnings --at scene --gamut BT.709", &file).chain(TO_DISPLAY));
    assert_eq!((found["outside the gamut"], found.contains_key("at white")), (1, false));
    assert_eq!(classes(&view("--as warnings --at scene", &file).chain(TO_DISPLAY))["outside the gamut"], 0);
}

#[test]
fn a_tint_in_black_is_spread_out() {
    let dir = tempfile::tempdir().expect("a folder");
    let code = |r: f32, g: f32, b: f32| [r, g, b, 1.0];
    let pixels =
        [code(0.0, 0.0, 0.0), code(0.02, 0.02, 0.03), code(0.5, 0.5, 0.5), code(0.98, 0.97, 0.97), code(1.0, 1.0, 1.0)];
    let file = picture(&dir.path().join("ends.dpx"), Size::new(5, 1), &pixels);
    let out = dir.path().join("ends.png");
    let found = classes(&view("--as black-white --input BT.1886 --out", &file).with(&out));
    let names = ["at black", "5 % and less", "in between", "95 % and more", "at white"];
    assert_eq!(names.map(|name| found[name]), [1; 5]);
    let inks = inks(&out);
    // 3 % of signal less 2 %, in a tenth of the codes: 5 % are spread over 44 % of the picture's.
    let tinted = inks.iter().find(|([r, g, b], count)| **count > 500 && r == g && *b > *g + 15);
    assert!(tinted.is_some(), "{:?}", inks.iter().filter(|(_, count)| **count > 500).collect::<Vec<_>>());
}

#[test]
fn the_adapter_s_picture_is_in_the_proof_s_classes() {
    let dir = tempfile::tempdir().expect("a folder");
    // No grey on the edge of a band.
    let stops: Vec<f64> = (0..150).map(|at| 0.18 * (-7.45 + f64::from(at) * 0.1).exp2()).collect();
    let file = greys(&dir.path().join("ramp.exr"), &stops);
    let of = |executor: &str| {
        let run = greywright("view --as false-colour --json --executor").with(executor).with(&file);
        classes(&run.chain("input-transform encoding=ACEScg | exposure stops=0.02"))
    };
    if std::env::var("GREYWRIGHT_ADAPTER").is_ok_and(|choice| choice == "none") {
        println!("skipped: no adapter is allowed");
        return;
    }
    assert_eq!(of("gpu"), of("proof"));
}

#[test]
fn what_cannot_be_seen_is_said() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = greys(&dir.path().join("grey.dpx"), &[0.3, 0.4]);
    let cases: [(&str, &str, &[&str]); 10] = [
        ("--as tea", "", &["false-colour", "black-white"]),
        ("--as false-colour", "", &["not known", "--input"]),
        ("--as false-colour --input sRGB", "", &["no stops", "--at scene"]),
        ("--as zebra --input sRGB", "", &["--level is missing", "60%..70%"]),
        ("--as zebra --level bright", "", &["60%..70%"]),
        ("--as zebra --level +1 --input sRGB", "", &["no stops"]),
        ("--as zebra --level 90% --at scene", TO_DISPLAY, &["no % of signal", "+2"]),
        ("--as warnings --level 90% --input sRGB", "", &["--level goes with --as zebra"]),
        ("--as black-white --input LogC3", "", &["output-transform"]),
        ("--as black-white --near 40 --input sRGB", "", &["up to 25 %"]),
    ];
    for (arguments, chain, words) in cases {
        let run = view(arguments, &file);
        let run = if chain.is_empty() { run } else { run.chain(chain) };
        run.fails(2, words);
    }
    view("--as warnings --gamut wide --input sRGB", &file).fails(2, &["no such primaries", "BT.709"]);
    greywright("view --as warnings --json").fails(2, &["IN is missing"]);
    greywright("view --as warnings").with(&file).fails(2, &["--out"]);
}
