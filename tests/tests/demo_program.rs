//! `demo --render`: the scene, its truth, and the main job on it, judged by the grey card whose truth is known.

use std::path::Path;

use demo::{Rect, Summary, Truth};
use frame::{Range, Size};
use tests::program::greywright;

/// One shot of each set-up, and one of each camera.
const SHOTS: &str = "deck_010,galley_010,galley_010b,wheelhouse_010";

/// A reading of a rectangle.
struct Reading {
    /// Mean 10-bit code of red, green and blue.
    codes: [f64; 3],
    /// Mean light of red, green and blue, 1.0 at the display's peak.
    light: [f64; 3],
}

/// Reads a rectangle of a BT.1886 picture: light is code to the power 2.4 (Rec. ITU-R BT.1886, black at 0).
fn read(path: &Path, rect: Rect) -> Reading {
    let frame = media::read(path).unwrap_or_else(|error| panic!("{error}")).frame;
    let pixels = frame.crop(rect.x, rect.y, rect.width, rect.height).to_pixels(Range::Full);
    let mean = |of: fn(f64) -> f64| {
        let count = pixels.len() as f64;
        [0, 1, 2].map(|channel| pixels.iter().map(|pixel| of(f64::from(pixel[channel]))).sum::<f64>() / count)
    };
    Reading { codes: mean(|code| code * 1023.0), light: mean(|code| code.powf(2.4)) }
}

fn text(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn the_grey_card_comes_out_grey_and_well_exposed() {
    let dir = tempfile::tempdir().expect("a folder");
    let answer =
        greywright("demo --render --size 320x180 --frames 2 --no-faults --shots").with(SHOTS).with(dir.path()).done();
    let originals = dir.path().join("originals");
    let summary: Summary = serde_json::from_str(&text(&originals.join("shots.json"))).expect("the list of shots holds");
    assert_eq!(summary.shots.len(), 4, "four shots");
    for shot in &summary.shots {
        // The correction that is printed is the one that made the pictures.
        let printed = answer.stdout.lines().skip_while(|line| *line != shot.name);
        let correction = printed.skip(1).find_map(|line| line.strip_prefix("  correction ")).expect("a correction");
        let (again, shown) =
            (dir.path().join(format!("again_{}.dpx", shot.name)), format!("corrected/{0}/{0}.0001.dpx", shot.name));
        let first = originals.join(shot.pattern.replace("%04d", "0001"));
        greywright("render").with(&first).with(&again).chain(correction).done();
        let bytes = |path: &Path| media::read(path).unwrap_or_else(|error| panic!("{error}")).frame.bytes().to_vec();
        assert!(bytes(&again) == bytes(&dir.path().join(shown)), "{}: {correction}", shot.name);
        let truth: Truth = serde_json::from_str(&text(&originals.join(&shot.truth))).expect("the truth holds");
        check_truth(&originals, shot, &truth);
        for number in 1..=2_usize {
            let original = originals.join(shot.pattern.replace("%04d", &format!("{number:04}")));
            let as_shot = read(&original, truth.card);
            assert!(as_shot.codes.iter().all(|code| (100.0..800.0).contains(code)), "{:?}", as_shot.codes);
            // The truth's own chain, plain: the card's 18 % are 18 % of the display's peak.
            let plain = dir.path().join(format!("plain/{}.{number:04}.dpx", shot.name));
            std::fs::create_dir_all(dir.path().join("plain")).expect("a folder");
            greywright("render").with(&original).with(&plain).chain(&truth.correction).done();
            // Tubes flicker: a frame may be lit less than the first.
            let lit = (truth.frames[number - 1].exposure_stops - truth.exposure_error_stops).exp2();
            check_card(shot, &read(&plain, truth.card), 0.18 * lit);
            // The picture that people look at: ACES 2 shows 18 % at 10 nits (aces-core CTL,
            // Lib.Academy.Tonescale).
            let shown = dir.path().join(format!("corrected/{0}/{0}.{number:04}.dpx", shot.name));
            check_card(shot, &read(&shown, truth.card), 0.10 * lit);
            let said = media::read(&shown).unwrap_or_else(|error| panic!("{error}")).about.rendering;
            assert_eq!(said.as_deref(), Some("BT.1886, 100 nits, aces-2.0"));
        }
        let before_after = dir.path().join(format!("pictures/{}_before_after.png", shot.name));
        let picture = media::read(&before_after).unwrap_or_else(|error| panic!("{error}"));
        assert_eq!(picture.frame.size(), Size::new(2 * 320 + 16, 180), "both sides whole, and a gap");
    }
}

/// The card is grey, to two codes, and as light as it should be, to a fiftieth of a stop.
fn check_card(shot: &demo::ShotSummary, reading: &Reading, wanted: f64) {
    let Reading { codes, light } = reading;
    let spread = codes.iter().fold(0.0, |most: f64, code| most.max(*code))
        - codes.iter().fold(f64::INFINITY, |least: f64, code| least.min(*code));
    // Luminance by BT.709's weights.
    let luminance = 0.2126 * light[0] + 0.7152 * light[1] + 0.0722 * light[2];
    let stops = (luminance / wanted).log2();
    println!("{}: codes {codes:.2?}, {spread:.2} apart, {stops:+.4} stop from {wanted}", shot.name);
    assert!(spread < 2.0, "{}: the card is not grey: {codes:?}", shot.name);
    // The second camera's matrix keeps the luminance of white under D65 alone.
    let near = if shot.encoding == "LogC3" { 0.02 } else { 0.05 };
    assert!(stops.abs() < near, "{}: the card is {stops:+} stop off {wanted}", shot.name);
}

/// The truth names what is there, and its picture shows the card at 18 % and the patches as it says.
fn check_truth(originals: &Path, shot: &demo::ShotSummary, truth: &Truth) {
    assert_eq!((&truth.shot, &truth.correction, truth.card), (&shot.name, &shot.correction, shot.card));
    assert_eq!((truth.size, truth.patches.len()), ([320, 180], 24));
    let frame = media::read(&originals.join(&shot.truth_picture)).unwrap_or_else(|error| panic!("{error}")).frame;
    assert_eq!(frame.size(), Size::new(320, 180));
    let mean = |rect: Rect| {
        let pixels = frame.crop(rect.x, rect.y, rect.width, rect.height).to_pixels(Range::Full);
        [0, 1, 2].map(|c| pixels.iter().map(|pixel| f64::from(pixel[c])).sum::<f64>() / pixels.len() as f64)
    };
    // The truth is a half float file, good to 5e-4 of a value.
    let near = |got: [f64; 3], want: [f64; 3], what: &str| {
        for (got, want) in got.into_iter().zip(want) {
            assert!((got - want).abs() <= 1e-3 * want.abs().max(0.01), "{what}: {got}, the truth says {want}");
        }
    };
    near(mean(truth.card), [0.18; 3], "grey card");
    for patch in &truth.patches {
        near(mean(patch.rect), patch.acescg, &patch.name);
    }
}

/// What `inspect` says of the copies that have a fault each.
#[test]
fn planted_faults_are_found() {
    let dir = tempfile::tempdir().expect("a folder");
    greywright("demo --size 160x90 --frames 1 --truth first --shots galley_010").with(dir.path()).done();
    let faults = dir.path().join("faults");
    let inspect = |folder: &str| {
        let told = greywright("inspect --json").with(faults.join(folder)).done().json()[0].clone();
        let found: Vec<String> = told["findings"]
            .as_array()
            .expect("findings")
            .iter()
            .map(|finding| format!("{}: {}", finding["kind"].as_str().expect("a kind"), finding["words"]))
            .collect();
        println!("{folder}: {} | {found:?}", told["likely"]);
        (told, found)
    };
    let has = |found: &[String], kind: &str| found.iter().any(|finding| finding.starts_with(kind));
    let (sound, found) = inspect("exposure_index");
    assert!(!has(&found, "fewer-bits") && !has(&found, "repeat") && sound["missing"] == "", "{found:?}");
    let (_, found) = inspect("eight_in_ten");
    assert!(found.iter().any(|finding| finding.starts_with("fewer-bits") && finding.contains("divisible by 4")));
    let (told, found) = inspect("gap_and_repeat");
    assert_eq!((told["frames"].as_u64(), told["missing"].as_str()), (Some(5), Some("frame 3")), "{told}");
    assert!(found.iter().any(|finding| finding.contains("frames 5, 6 hold the same picture")), "{found:?}");
    let (told, _) = inspect("legal_in_full");
    assert!(told["range"].is_null(), "{told}");
    let likely = told["likely"].as_str().expect("a guess");
    assert!(likely.contains("in legal range") && likely.contains("LogC3"), "{likely}");
    // The wrong exposure index is what the sheet says; no picture tells the true one.
    let sheet = greywright("inspect --json --shot-sheet").with(faults.join("shots.csv")).done().json();
    assert_eq!((sheet[0]["exposure_index"].as_u64(), sheet[0]["encoding"].as_str()), (Some(1600), Some("LogC3")));
}
