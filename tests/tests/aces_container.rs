//! What OpenEXR files say of their light: the ACES image container as its standard has it, chromaticities of any
//! primaries, those of an original of which nothing is known, and the camera roll.
//!
//! Read back by OpenImageIO; without the Python that `GREYWRIGHT_PYTHON` names that part is skipped with a printed reason.

use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

use frame::{ByteOrder, Channels, Frame, Layout, Range, Samples, Size};
use media::About;
use serde_json::Value;
use tests::program::{greywright, python, reference};

/// Chromaticities as files have them: single floats.
fn near(found: &Value, wanted: &[f64]) {
    let found: Vec<f64> = found.as_array().expect("a list").iter().filter_map(Value::as_f64).collect();
    let close = found.len() == wanted.len() && found.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-6);
    assert!(close, "{found:?}, not {wanted:?}");
}

/// SMPTE ST 2065-1: AP0 and its white.
const AP0: [f64; 8] = [0.7347, 0.2653, 0.0, 1.0, 0.0001, -0.077, 0.32168, 0.33767];
/// SMPTE RP 431-2 and EG 432-1.
const P3_D65: [f64; 8] = [0.68, 0.32, 0.265, 0.69, 0.15, 0.06, 0.3127, 0.329];

fn picture(path: &Path, channels: Channels, about: &About) {
    let layout = Layout::new(channels, Samples::Half, ByteOrder::Little);
    let size = Size::new(37, 21);
    let frame = Frame::from_pixels(&vec![[0.5, 0.25, 0.125, 0.5]; size.pixels()], size, layout, Range::Full);
    media::write(path, &frame, about).unwrap_or_else(|error| panic!("{error}"));
}

/// Kinds and values of the attributes in a header of one part (OpenEXR file layout: name, kind, length, value).
fn header(path: &Path) -> BTreeMap<String, (String, Vec<u8>)> {
    let bytes = fs::read(path).expect("the file is there");
    // Version 2, scan lines, one part, short names.
    assert_eq!(bytes[..8], [0x76, 0x2f, 0x31, 0x01, 2, 0, 0, 0]);
    let mut rest = &bytes[8..];
    let text = |rest: &mut &[u8]| {
        let end = rest.iter().position(|byte| *byte == 0).expect("a text ends");
        let text = String::from_utf8(rest[..end].to_vec()).expect("a name");
        *rest = &rest[end + 1..];
        text
    };
    let mut found = BTreeMap::new();
    loop {
        let name = text(&mut rest);
        if name.is_empty() {
            return found;
        }
        let kind = text(&mut rest);
        let (len, after) = rest.split_first_chunk().expect("a length");
        let (value, after) = after.split_at(u32::from_le_bytes(*len) as usize);
        found.insert(name, (kind, value.to_vec()));
        rest = after;
    }
}

/// Channel names in the order of the file: a `chlist` has 16 bytes after each.
fn channels(list: &[u8]) -> Vec<String> {
    let mut names = Vec::new();
    let mut rest = list;
    while let Some(end) = rest.iter().position(|byte| *byte == 0).filter(|end| *end > 0) {
        names.push(String::from_utf8_lossy(&rest[..end]).into_owned());
        // The kind of sample: 1 is half.
        assert_eq!(rest[end + 1..end + 5], [1, 0, 0, 0]);
        rest = &rest[end + 17..];
    }
    names
}

/// Source: SMPTE ST 2065-4: half, no compression, scan lines from the top, channels B, G, R with or without A before
/// them, AP0 with the ACES white, the flag 1, no empty text; `adoptedNeutral` recommended (from memory).
#[test]
fn an_aces_container_is_as_its_standard_has_it() {
    let dir = tempfile::tempdir().expect("a folder");
    let mut files = Vec::new();
    for (name, kind, order) in
        [("rgb", Channels::Rgb, &["B", "G", "R"][..]), ("rgba", Channels::Rgba, &["A", "B", "G", "R"])]
    {
        let (original, out) = (dir.path().join(format!("{name}.exr")), dir.path().join(format!("{name}_aces.exr")));
        picture(
            &original,
            kind,
            &About { camera_roll: Some("A014".to_string()), rate: Some(24.0), ..About::default() },
        );
        let chain = "input-transform encoding=Linear-BT.709 | encode encoding=ACES2065-1";
        greywright("render --aces-container").with(&original).with(&out).chain(chain).done();
        let header = header(&out);
        let value = |name: &str| header.get(name).unwrap_or_else(|| panic!("no {name}")).1.as_slice();
        assert_eq!(channels(value("channels")), order);
        assert_eq!((value("compression"), value("lineOrder")), (&[0][..], &[0][..]));
        assert_eq!(value("acesImageContainerFlag"), 1_i32.to_le_bytes());
        let window: Vec<u8> = [0_i32, 0, 36, 20].iter().flat_map(|edge| edge.to_le_bytes()).collect();
        assert_eq!((value("dataWindow"), value("displayWindow")), (&window[..], &window[..]));
        assert_eq!(value("pixelAspectRatio"), 1_f32.to_le_bytes());
        assert_eq!((value("screenWindowCenter"), value("screenWindowWidth")), (&[0; 8][..], &1_f32.to_le_bytes()[..]));
        for (name, (kind, value)) in &header {
            assert!(kind != "string" || !value.is_empty(), "{name} is empty");
        }
        files.push(out.display().to_string());
    }
    let Some(python) = python() else { return };
    let answer = reference(&python, "read_attributes.py", &files.iter().map(String::as_str).collect::<Vec<_>>());
    let all: Vec<Value> = serde_json::from_str(&answer).expect("JSON");
    assert_eq!(all.len(), 2);
    for found in all {
        near(&found["chromaticities"], &AP0);
        near(&found["adoptedNeutral"], &AP0[6..]);
        assert_eq!(found["acesImageContainerFlag"], 1);
        assert_eq!(found["compression"], "none");
        assert_eq!((&found["format"], &found["tile"]), (&Value::from("half"), &Value::from(0)));
        assert_eq!(found["data"], serde_json::json!([0, 0, 37, 21]));
        assert_eq!(found["display"], found["data"]);
        let roll = found.get("reelName").or_else(|| found.get("openexr:reelName"));
        assert_eq!(roll, Some(&Value::from("A014")), "{found}");
    }
}

#[test]
fn what_is_no_aces_container_is_refused_with_the_remedy() {
    let dir = tempfile::tempdir().expect("a folder");
    let original = dir.path().join("in.exr");
    picture(&original, Channels::Rgb, &About::default());
    let aces = "input-transform encoding=Linear-BT.709 | encode encoding=ACES2065-1";
    let render = |out: &str, chain: &str, more: &str| {
        greywright(&format!("render --aces-container {more}")).with(&original).with(dir.path().join(out)).chain(chain)
    };
    render("a.exr", "input-transform encoding=Linear-BT.709", "").fails(2, &["| encode encoding=ACES2065-1"]);
    render("a.exr", "", "").fails(2, &["| encode encoding=ACES2065-1"]);
    render("a.exr", aces, "--depth float").fails(2, &["--depth half"]);
    render("a.dpx", aces, "").fails(2, &[".exr"]);
    assert!(!dir.path().join("a.exr").exists() && !dir.path().join("a.dpx").exists());
}

#[test]
fn chromaticities_are_those_of_what_leaves_the_chain() {
    let dir = tempfile::tempdir().expect("a folder");
    // No primaries that anybody published.
    let odd = [[0.6, 0.3], [0.25, 0.65], [0.14, 0.05], [0.31, 0.32]];
    let original = dir.path().join("in.exr");
    picture(&original, Channels::Rgb, &About { chromaticities: Some(odd), ..About::default() });
    let cases: [(&str, Option<Vec<f64>>); 5] = [
        // Nothing is known, and nothing touches them.
        ("", Some(odd.concat())),
        ("input-transform encoding=Linear-P3-D65 | encode encoding=Linear-P3-D65", Some(P3_D65.to_vec())),
        ("input-transform encoding=Linear-P3-D65 | encode encoding=ACES2065-1", Some(AP0.to_vec())),
        // Code is not light: whoever reads primaries in a float file takes it for linear.
        ("input-transform encoding=Linear-P3-D65 | encode encoding=ACEScct", None),
        ("input-transform encoding=Linear-P3-D65 | output-transform display=sRGB rendering=plain", None),
    ];
    for (at, (chain, wanted)) in cases.iter().enumerate() {
        let out = dir.path().join(format!("{at}.exr"));
        greywright("render").with(&original).with(&out).chain(chain).done();
        let found = header(&out).remove("chromaticities").map(|(_, value)| {
            value.as_chunks().0.iter().map(|bytes| f64::from(f32::from_le_bytes(*bytes))).collect::<Vec<_>>()
        });
        match (found, wanted) {
            (Some(found), Some(wanted)) => near(&Value::from(found), wanted),
            (found, wanted) => assert_eq!(found, *wanted, "{chain}"),
        }
    }
    let words = |name: &str| greywright("inspect").with(dir.path().join(name)).done().stdout;
    assert!(words("0.exr").contains("of no name: red 0.6 0.3, green 0.25 0.65"), "{}", words("0.exr"));
    assert!(words("1.exr").contains("P3-D65: red 0.68 0.32"), "{}", words("1.exr"));
}

/// `reelName` is a standard attribute of OpenEXR.
#[test]
fn the_camera_roll_travels_and_inspect_names_it() {
    let dir = tempfile::tempdir().expect("a folder");
    let (original, out) = (dir.path().join("in.exr"), dir.path().join("out.exr"));
    picture(&original, Channels::Rgb, &About { camera_roll: Some("A014_C003".to_string()), ..About::default() });
    greywright("render").with(&original).with(&out).chain("").done();
    assert_eq!(media::read(&out).expect("it is there").about.camera_roll.as_deref(), Some("A014_C003"));
    let words = greywright("inspect").with(&out).done().stdout;
    assert!(words.contains("roll     A014_C003"), "{words}");
}
