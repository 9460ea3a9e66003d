//! Response of whole chains, by the proof: what each kind of correction must look like; and the command as a user meets it.

use std::fs;

use colour::Encoding;
use frame::Range;
use graph::Original;
use measure::Tap;
use measure::response::{Candidate, Grey, hue, over_stops, slopes};
use reference::Proof;
use tests::cases::Subject;
use tests::program::greywright;
use tests::table::{number, rows};

/// A chain behind an original of LogC3 and what measures it.
fn candidate(chain: &str) -> Candidate<impl Fn([f64; 3]) -> [f64; 3]> {
    let original = Original::Encoded(Encoding::named("LogC3", None).expect("a built-in encoding"));
    let elaborated = Subject::chain(chain, &original).elaborated;
    let proof = Proof::new(&elaborated);
    let taps = [&elaborated.original, &elaborated.result_signal].map(|signal| Tap::new(signal.clone()));
    let [original, result] = taps;
    Candidate::new(original, result, move |rgb| proof.pixel(rgb))
}

/// From 8 stops under mid grey to 6 over, four greys a stop.
fn ramp(chain: &str) -> Vec<Grey> {
    over_stops(&candidate(chain), -8.0, 6.0, 57)
}

#[test]
fn a_gain_is_a_gap_of_stops_that_nothing_changes() {
    // Gains work in the camera's own linear light (common practice, no source): 1.5 is log2(1.5) of a stop at every level.
    for grey in ramp("channel-gain red=1.5") {
        let [red, blue] = grey.gap_in_stops().map(|gap| gap.expect("light"));
        assert!((red - 1.5f64.log2()).abs() < 1e-9 && blue.abs() < 1e-9, "{grey:?}");
    }
}

/// Source: ARRI, ALEXA Log C Curve, 2012, EI 800: `c log10(a x + b) + d` above 0.010591 of light, with c = 0.247190, a = 5.555556,
/// b = 0.052272; below it `e x + f` with e = 5.367655.
#[test]
fn an_offset_is_a_gap_of_codes_that_grows_in_light_towards_black() {
    let offset = 0.02;
    for grey in ramp(&format!("channel-offset red={offset}")) {
        assert!((grey.gap()[0] - offset).abs() < 1e-12 && grey.gap()[1].abs() < 1e-12);
        let light = 0.18 * grey.level.exp2();
        let expected = if light > 0.010591 {
            let inside = (5.555556 * light + 0.052272) * 10f64.powf(offset / 0.247190);
            (inside - 0.052272) / 5.555556
        } else if light + offset / 5.367655 < 0.010591 {
            light + offset / 5.367655
        } else {
            continue;
        };
        let gap = grey.gap_in_stops()[0].expect("light");
        // The printed constants have six digits.
        assert!((gap - (expected / light).log2()).abs() < 1e-4, "{grey:?}: {expected}");
    }
}

#[test]
fn a_tapered_balance_is_a_gain_above_and_nothing_below() {
    let (tapered, whole) = (ramp("taper-balance mired=30 centre=5 width=2"), ramp("light-shift mired=30"));
    for (tapered, whole) in tapered.iter().zip(&whole) {
        let (got, of_whole) = (tapered.gap_in_stops().map(Option::unwrap), whole.gap_in_stops().map(Option::unwrap));
        if tapered.level >= -4.0 {
            assert!((0..2).all(|at| (got[at] - of_whole[at]).abs() < 1e-9), "{tapered:?} {whole:?}");
        } else if tapered.level <= -6.0 {
            assert!(got.iter().all(|gap| gap.abs() < 1e-9), "{tapered:?}");
        } else {
            // Between them it grows without a step.
            assert!((0..2).all(|at| got[at].abs() <= of_whole[at].abs() + 1e-9), "{tapered:?} {whole:?}");
        }
    }
}

#[test]
fn contrast_is_its_slope_and_exposure_is_none() {
    for (chain, want) in [("contrast slope=1.3", 1.3), ("exposure stops=-1.5", 1.0)] {
        let ramp = ramp(&format!("{chain} | output-transform display=BT.1886 rendering=plain"));
        for (grey, slopes) in ramp.iter().zip(slopes(&ramp)) {
            assert!(
                slopes.iter().all(|slope| (slope.expect("light") - want).abs() < 1e-6),
                "{chain}: {grey:?} {slopes:?}"
            );
        }
    }
}

/// Source: table `aces2_tonescale.tsv` (Academy, tone scale of the output transforms), nits of a grey on a display of 100.
#[test]
fn greys_through_aces_leave_at_the_published_nits() {
    let table = rows("aces2_tonescale.tsv");
    let mut count = 0;
    for row in table.iter().filter(|row| number(row, "peak_nits") == 100.0 && number(row, "scene") > 0.0) {
        let stops = (number(row, "scene") / 0.18).log2();
        let candidate = candidate("output-transform display=BT.1886 rendering=aces-2.0");
        let grey = over_stops(&candidate, stops, stops + 1.0, 2)[0];
        for light in grey.light {
            // The rendering of a grey goes through an appearance model in single steps of published constants.
            assert!((100.0 * light / number(row, "nits") - 1.0).abs() < 2e-3, "{row:?}: {light}");
        }
        count += 1;
    }
    assert!(count >= 3);
}

#[test]
fn colours_without_saturation_are_white() {
    let grey = candidate("saturation factor=0 | output-transform display=sRGB rendering=plain");
    for turn in 0..24 {
        let pattern = demo::pattern::hue_at(1.0, f64::from(turn) / 24.0);
        let [u, v] = hue(&grey, pattern).to.expect("light");
        // D65 in u'v': CIE 15:2018.
        assert!((u - 0.1978).abs() < 5e-5 && (v - 0.4683).abs() < 5e-5, "{turn}: {u} {v}");
    }
}

const OFFSET: &str = "channel-offset red=0.02 | input-transform | output-transform display=BT.1886 rendering=plain";
const GAIN: &str = "channel-gain red=1.3 | input-transform | output-transform display=BT.1886 rendering=plain";

#[test]
fn two_candidates_stand_in_one_picture_and_in_its_data() {
    let dir = tempfile::tempdir().expect("a folder");
    let (out, csv) = (dir.path().join("response.png"), dir.path().join("response.csv"));
    let run = || greywright("response --input LogC3").chain(OFFSET).chain(GAIN);
    let answer = run().with("--out").with(&out).with("--csv").with(&csv).done();
    assert!(answer.stdout.contains("rendering: BT.1886, 100 nits, plain"), "{answer}");
    assert!(
        answer.stdout.contains("largest difference of 2 from 1 as shown: -68.74 10-bit codes of red, at -8.00 stops"),
        "{answer}"
    );

    let text = fs::read_to_string(&csv).expect("a file");
    let lines: Vec<Vec<&str>> = text.lines().map(|line| line.split(',').collect()).collect();
    assert!(lines.iter().all(|line| line.len() == lines[0].len()), "a figure or a blank in every column");
    for (candidate, pattern, count) in [
        ("1", "ramp-stops", 337),
        ("2", "wedge", 15),
        ("1", "ramp", 401),
        ("2", "hue-sweep", 3 * 181),
        ("1", "bars75", 8),
        ("2", "bars100", 8),
    ] {
        let found = lines.iter().filter(|line| line[0] == candidate && line[1] == pattern).count();
        assert_eq!(found, count, "{candidate} {pattern}");
    }
    let json = run().with("--json").done().json();
    assert_eq!(json["candidates"][1]["name"], GAIN);
    let rows = json["candidates"][0]["rows"].as_array().expect("rows").len();
    assert_eq!(rows, lines.iter().filter(|line| line[0] == "1").count());

    // Only data have a hue: none in what stands above the plots and beside them.
    let frame = media::read(&out).unwrap_or_else(|error| panic!("{error}")).frame;
    let (size, pixels) = (frame.size(), frame.to_pixels(Range::Full));
    let hued = |x: u32, y: u32| {
        let [red, green, blue, _] = pixels[(y * size.width + x) as usize];
        red != green || green != blue
    };
    let rows = |from: u32, to: u32| (from..to).flat_map(|y| (0..size.width).map(move |x| (x, y)));
    assert!(rows(0, 160).all(|(x, y)| !hued(x, y)), "the heading is neutral");
    assert!(rows(160, size.height).filter(|(x, y)| hued(*x, *y)).count() > 2000, "the curves are not");
}

#[test]
fn a_project_names_its_candidates_and_faults_are_told() {
    let dir = tempfile::tempdir().expect("a folder");
    greywright("demo --size 160x90 --frames 1 --shots galley_010 --no-faults").with(dir.path()).done();
    let project = dir.path().join(demo::PROJECT_NAME);
    let run = || greywright("response --json --shot galley_010").with(&project);
    let json = run().with("--candidate").with("log-points").with("--candidate").with("display-gains").done().json();
    assert!(
        json["candidates"][1]["name"].as_str().is_some_and(|name| name == "display-gains, shot galley_010"),
        "{json}"
    );
    assert!(json["candidates"][0]["original"].as_str().is_some_and(|signal| signal.contains("scene")));

    greywright("response").fails(2, &["PROJECT"]);
    greywright("response --json").chain("").chain("").chain("").fails(2, &["3 candidates", "2"]);
    let display = "output-transform display=sRGB";
    greywright("response --json")
        .chain(display)
        .chain("exposure stops=1")
        .fails(2, &["one plot", "sRGB", "AP1 linear"]);
    greywright("response --json").chain(display).chain("exposure stops=much").fails(2, &["candidate 2: ", "stops"]);
    greywright("response --json").with(dir.path().join("none.greywright")).fails(1, &["none.greywright"]);
}
