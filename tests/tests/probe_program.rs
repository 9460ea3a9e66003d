//! `probe` as a user meets it: codes are light and stops as published, areas move, what is no part of an area stays out, and
//! a flickering lamp is read frame by frame.

use std::f64::consts::TAU;
use std::path::{Path, PathBuf};

use frame::Size;
use serde_json::Value;
use tests::picture::picture;
use tests::program::{Answer, Run, greywright};

fn flat(path: &Path, size: Size, rgb: [f32; 3]) -> PathBuf {
    picture(path, size, &vec![[rgb[0], rgb[1], rgb[2], 1.0]; size.pixels()])
}

/// The readings of one area of one frame, place by place.
fn readings<'a>(json: &'a Value, frame: usize, area: &str) -> &'a [Value] {
    let areas = json["frames"][frame]["areas"].as_array().expect("areas");
    let area = areas.iter().find(|of| of["name"] == area).unwrap_or_else(|| panic!("no {area}: {json}"));
    area["readings"].as_array().expect("readings")
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("no number: {value}"))
}

fn probe(arguments: &str, file: &Path) -> Run {
    arguments.split_whitespace().fold(greywright("probe --executor proof").with(file), Run::with)
}

/// Sources: ARRI, ALEXA Log C Curve, 2012: mid grey is code 400 of 1023 at EI 800. Rec. ITU-R BT.1886: light is code to the
/// power of 2.4.
#[test]
fn a_grey_card_before_and_after_a_chain() {
    let dir = tempfile::tempdir().expect("a folder");
    let card = flat(&dir.path().join("card.0007.dpx"), Size::new(16, 9), [400.0 / 1023.0; 3]);
    let chain =
        "input-transform encoding=LogC3 ei=800 | exposure stops=+1 | output-transform display=BT.1886 rendering=plain";
    let json = probe("--json --area card=2,2,6,5", &card).chain(chain).done().json();
    let [original, scene, result] = readings(&json, 0, "card") else { panic!("three places: {json}") };
    assert_eq!((&original["at"], &scene["at"], &result["at"]), (&"original".into(), &"scene".into(), &"result".into()));
    assert_eq!((&original["pixels"], &original["bits"]), (&30.into(), &10.into()));
    assert!((number(&original["code"]["mean"][1]) - 400.0).abs() < 1e-9, "{original}");
    // A code is a hundredth of a stop there.
    assert!(number(&original["stops"]).abs() < 0.007, "{original}");
    assert!((number(&scene["stops"]) - number(&original["stops"]) - 1.0).abs() < 1e-5, "{scene}");
    // Light of the scene has no code; that of a display no stops.
    assert_eq!((&scene["code"], &result["stops"], &result["bits"]), (&Value::Null, &Value::Null, &10.into()));
    let nits = number(&result["nits"]);
    assert!((nits - 36.0).abs() < 0.2 && json["frames"][0]["frame"] == 7, "{nits}");
    let code = 1023.0 * (nits / 100.0).powf(1.0 / 2.4);
    assert!((number(&result["code"]["mean"][0]) - code).abs() < 1e-3, "{result}");
    for reading in [original, scene, result] {
        // Equal numbers are D65, to the figures that single floats hold.
        assert!(
            number(&reading["white"]["mired"]).abs() < 0.01 && number(&reading["delta_e_2000"]) < 0.01,
            "{reading}"
        );
    }
    assert_eq!(
        (&original["temperature"]["of"], &result["temperature"]["of"]),
        (&"as encoded".into(), &"as shown".into())
    );
    assert!(result["rendering"].as_str().is_some_and(|words| words.contains("plain")));
    // The same on a terminal and in a table.
    let csv = dir.path().join("card.csv");
    let told = probe("--area card=2,2,6,5 --csv", &card).with(&csv);
    let told = told.chain(chain).done().stdout;
    for words in ["card (2,2,6,5)", "400.0 400.0 400.0 (10 bit full)", "+1.00", "rendering: BT.1886, 100 nits, plain"] {
        assert!(told.contains(words), "no '{words}' in\n{told}");
    }
    let table = std::fs::read_to_string(csv).expect("a table");
    let columns: Vec<usize> = table.lines().map(|line| line.split(',').count()).collect();
    assert!(columns.len() == 4 && columns.iter().all(|count| *count == columns[0]), "{table}");
}

/// Source: Rep. ITU-R BT.2408, table 1: HDR reference white of 203 nits is 58 % of PQ.
#[test]
fn nits_and_no_white_in_the_dark() {
    let dir = tempfile::tempdir().expect("a folder");
    let pq = flat(&dir.path().join("pq.dpx"), Size::new(4, 4), [0.58; 3]);
    let json = probe("--json --input PQ --point 1,1", &pq).done().json();
    let reading = &readings(&json, 0, "1,1")[0];
    assert!((number(&reading["nits"]) - 203.0).abs() < 2.0 && reading["no_white"].is_null(), "{reading}");
    let dark = |light: f32| {
        let file = flat(&dir.path().join("dark.exr"), Size::new(4, 4), [light; 3]);
        let json = probe("--json --input ACEScg --point 0,0", &file).done().json();
        let reading = readings(&json, 0, "0,0")[0].clone();
        (reading["white"].is_null() && reading["temperature"].is_null(), number(&reading["stops"]))
    };
    let (none, stops) = dark(0.18 / 40.0);
    assert!(none && (stops + 40f64.log2()).abs() < 1e-6);
    assert!(!dark(0.18 / 30.0).0);
}

#[test]
fn what_is_no_part_of_an_area_stays_out_and_is_counted() {
    let dir = tempfile::tempdir().expect("a folder");
    let size = Size::new(12, 8);
    let mut pixels = vec![[0.18, 0.2, 0.1, 1.0]; size.pixels()];
    // A hot pixel and one that is no number in the area; a matte above it.
    pixels[4 * 12 + 5] = [3.0, 3.0, 3.0, 1.0];
    pixels[4 * 12 + 6] = [f32::NAN, 0.2, 0.1, 1.0];
    pixels[..24].fill([0.0, 0.0, 0.0, 1.0]);
    let file = picture(&dir.path().join("odd.exr"), size, &pixels);
    let read = |more: &str| {
        let json = probe(&format!("--json --input ACEScg {more}"), &file).done().json();
        let [reading] = readings(&json, 0, "a") else { panic!("one place: {json}") };
        (json["frames"][0]["areas"][0]["pixels"].clone(), reading.clone())
    };
    let (pixels, reading) = read("--area a=3,3,6,3");
    assert_eq!(pixels, serde_json::json!([3, 3, 6, 3]));
    assert_eq!((&reading["pixels"], &reading["left_out"], &reading["not_finite"]), (&16.into(), &1.into(), &1.into()));
    for (channel, want) in [0.18f32, 0.2, 0.1].into_iter().enumerate() {
        assert!((number(&reading["light"]["mean"][channel]) - f64::from(want)).abs() < 1e-12, "{reading}");
    }
    // The measuring region keeps the matte out.
    let (pixels, reading) = read("--area a=0,0,3,8 --region 0,2,12,6");
    assert_eq!(pixels, serde_json::json!([0, 2, 3, 6]));
    assert_eq!((&reading["pixels"], &reading["left_out"]), (&18.into(), &0.into()));
}

/// A bright patch on a dark ground that moves two pixels a frame, from (2, 3) at frame 1001.
fn moving(dir: &Path, frames: i64) -> PathBuf {
    let size = Size::new(40, 12);
    for frame in 0..frames {
        let mut pixels = vec![[0.02, 0.02, 0.02, 1.0]; size.pixels()];
        for (y, x) in (3..7).flat_map(|y| (0..4).map(move |x| (y, 2 + 2 * frame as usize + x))) {
            pixels[y * 40 + x] = [0.5, 0.4, 0.3, 1.0];
        }
        picture(&dir.join(format!("patch.{:04}.exr", 1001 + frame)), size, &pixels);
    }
    dir.join("patch.%04d.exr")
}

#[test]
fn an_area_that_is_placed_at_two_frames_follows_between_them() {
    let dir = tempfile::tempdir().expect("a folder");
    let patch = moving(dir.path(), 9);
    let json = |more: &str| probe(&format!("--json --over-time --input ACEScg {more}"), &patch).done().json();
    let follows = json("--area p=1001:2,3,4,4 --area p=1009:18,3,4,4");
    let stays = json("--area p=2,3,4,4");
    for frame in 0..9 {
        let light = |json: &Value| number(&readings(json, frame, "p")[0]["light"]["median"][0]);
        assert!((light(&follows) - 0.5).abs() < 1e-7, "frame {frame}: {follows}");
        assert_eq!((light(&stays) - 0.5).abs() < 1e-7, frame == 0, "frame {frame}");
    }
    assert_eq!(follows["frames"][4]["areas"][0]["pixels"], serde_json::json!([10, 3, 4, 4]));
    // One that leaves what is measured is told of and keeps its rows.
    let csv = dir.path().join("leaves.csv");
    let run = probe("--over-time --input ACEScg --area p=1001:2,3,4,4 --area p=1005:50,3,4,4 --csv", &patch).with(&csv);
    let answer = run.done();
    assert!(answer.stderr.contains("p: outside what is measured in 5 frames"), "{answer}");
    let table = std::fs::read_to_string(csv).expect("a table");
    let columns: Vec<usize> = table.lines().map(|line| line.split(',').count()).collect();
    assert!(columns.len() == 10 && columns.iter().all(|count| *count == columns[0]), "{table}");
}

/// A lamp that flickers by a sine of a fifth of a stop while its white drifts.
fn flicker(dir: &Path, frames: i64) -> (PathBuf, Vec<f64>) {
    let stops = |frame: i64| 0.2 * (TAU * frame as f64 / 12.0).sin();
    for frame in 0..frames {
        let light = (0.18 * stops(frame).exp2()) as f32;
        let warm = 1.0 + 0.01 * frame as f32;
        flat(&dir.join(format!("lamp.{:04}.exr", 1001 + frame)), Size::new(8, 6), [light * warm, light, light / warm]);
    }
    (dir.join("lamp.%04d.exr"), (0..frames).map(stops).collect())
}

#[test]
fn a_flickering_lamp_is_read_frame_by_frame() {
    let dir = tempfile::tempdir().expect("a folder");
    let (lamp, stops) = flicker(dir.path(), 24);
    let [out, csv] = ["lamp.png", "lamp.csv"].map(|name| dir.path().join(name));
    let run = |arguments: &str| -> Answer {
        let run = probe(&format!("--over-time --input ACEScg {arguments} --out"), &lamp).with(&out);
        run.with("--csv").with(&csv).done()
    };
    let answer = run("--area lamp=1,1,5,4");
    let table = std::fs::read_to_string(&csv).expect("a table");
    let mut lines = table.lines().map(|line| line.split(',').collect::<Vec<_>>());
    let head = lines.next().expect("a head");
    let column = |name: &str| head.iter().position(|column| *column == name).expect("a column");
    let (green, mired, frame) = (column("light_green"), column("target_mired"), column("frame"));
    let mut before = f64::NEG_INFINITY;
    for (line, stops) in lines.by_ref().zip(&stops) {
        let number = |at: usize| line[at].parse::<f64>().unwrap_or_else(|_| panic!("{line:?}"));
        let read = (number(green) / 0.18).log2();
        // A single float in the file.
        assert!((read - stops).abs() < 1e-6, "{line:?}: {read} and not {stops}");
        assert!(number(mired) > before && number(frame) >= 1001.0, "it drifts to warm: {line:?}");
        before = number(mired);
    }
    assert!(before > 20.0 && lines.next().is_none(), "{before}");
    assert!(answer.stdout.contains("lamp, scene: stops -0."), "{answer}");
    let picture = media::read(&out).unwrap_or_else(|error| panic!("{error}")).frame;
    assert!(picture.size().width > 800 && picture.size().height > 1000, "four plots: {}", picture.size());
    // A part of it; the whole picture where no area is said, which is what `scopes --over-time` gives.
    let part = probe("--json --over-time --input ACEScg --frames 1005-1008", &lamp).done().json();
    assert_eq!(part["frames"].as_array().map(Vec::len), Some(4));
    assert_eq!(readings(&part, 3, "picture")[0]["pixels"], 48);
    let scopes = greywright("scopes --executor proof --json --over-time --input ACEScg").with(&lamp).done().json();
    assert_eq!(scopes["frames"][5], part["frames"][1]);
    // Black has neither stops nor white, and is drawn all the same.
    let black = flat(&dir.path().join("black.0001.exr"), Size::new(4, 4), [0.0; 3]);
    probe("--over-time --input ACEScg --out", &black).with(&out).done();
}

/// Source of the white: CIE 015, illuminant A, whose colour temperature is 2856 K.
#[test]
fn a_shot_says_its_measuring_region_and_the_white_of_its_camera() {
    let dir = tempfile::tempdir().expect("a folder");
    let size = Size::new(8, 8);
    let mut pixels = vec![[0.18, 0.18, 0.18, 1.0]; size.pixels()];
    pixels[..16].fill([0.0, 0.0, 0.0, 1.0]);
    picture(&dir.path().join("a.0001.exr"), size, &pixels);
    let project = dir.path().join("p.greywright");
    let media = dir.path().join("a.%04d.exr").display().to_string();
    let edit =
        greywright("edit").with(&project).with("add in operation=input-transform").with("candidate c places=\"in\"");
    edit.with(format!("shot s media={media} encoding=ACEScg camera-white=A measuring-region=0,2,8,6"))
        .with("--new")
        .done();
    let run = |more: &str| {
        let run = greywright(&format!("probe --executor proof --json --at original --shot s {more} --project"));
        run.with(&project).done().json()
    };
    let json = run("");
    assert_eq!(json["frames"][0]["measuring_region"], serde_json::json!([0, 2, 8, 6]));
    let reading = &readings(&json, 0, "picture")[0];
    assert_eq!((&reading["pixels"], &reading["left_out"]), (&48.into(), &0.into()));
    assert!((number(&reading["temperature"]["kelvin"]) - 2856.0).abs() < 1.0, "{reading}");
    assert!(reading["temperature"]["of"].as_str().is_some_and(|of| of.contains("the camera set to A")), "{reading}");
    // What is said on the command line goes before it.
    let json = run("--region 0,0,8,8");
    assert_eq!(json["frames"][0]["measuring_region"], serde_json::json!([0, 0, 8, 8]));
    let scopes = greywright("scopes --json --scopes histogram --shot s --project").with(&project).done().json();
    assert_eq!(scopes["region"], serde_json::json!([0, 2, 8, 6]));
}

#[test]
fn what_cannot_be_read_is_said() {
    let dir = tempfile::tempdir().expect("a folder");
    let file = flat(&dir.path().join("grey.0001.dpx"), Size::new(8, 8), [0.4; 3]);
    let cases: [(&str, &[&str]); 9] = [
        ("--area 1,2,3", &["left, top, width and height", "card=1001:640,300,20,15"]),
        ("--point 1", &["left and top in pixels"]),
        ("--area a=1,1,2,2 --area a=3,3,2,2", &["'a' is there already", "FRAME"]),
        ("--area far=90,1,2,2", &["far: nothing of it lies in what is measured", "0,0,8,8"]),
        ("--region 90,0,4,4", &["nothing of the measuring region lies in the picture, which is 8x8"]),
        ("--target 12", &["--target"]),
        ("--out a.png", &["--over-time"]),
        ("--at scene --input sRGB", &["--at scene"]),
        ("--over-time --frame 1", &["--frames A-B"]),
    ];
    for (arguments, words) in cases {
        let answer = probe(arguments, &file).go();
        assert!(answer.code == 2 || arguments.starts_with("--region") && answer.code == 1, "{answer}");
        words.iter().for_each(|word| assert!(answer.stderr.contains(word), "no '{word}' in {answer}"));
    }
    let five: String = (0..5).map(|at| format!("--area a{at}={at},0,1,1 ")).collect();
    let many = probe(&format!("--over-time {five} --out"), &file).with(dir.path().join("five.png"));
    many.fails(2, &["5 areas", "up to 4", "--csv"]);
    greywright("probe").fails(2, &["IN is missing"]);
    // Nothing is known of the numbers: code is read, and no light is made up.
    let json = probe("--json --point 1,1", &file).done().json();
    let reading = &readings(&json, 0, "1,1")[0];
    assert!(reading["light"].is_null() && reading["stops"].is_null() && reading["lab"].is_null(), "{reading}");
    assert_eq!(&reading["no_white"], "the encoding is not known");
    assert!((number(&reading["code"]["mean"][0]) - 409.0).abs() < 1e-9, "{reading}");
}
