//! `compare --anchor` as a user meets it: a picture that is another one moved by known stops, mired, Duv, black, contrast and
//! saturation is that far from it, by a card, by surfaces and by statistics, with noise and in 10-bit codes.
//!
//! Sources of the moves: the Planckian locus of CIE 15:2018 for mired and Duv; Rec. ITU-R BT.1886 for the codes.

use std::path::{Path, PathBuf};

use colour::cct::cct_duv;
use colour::locus::{kelvin_from_mired, mired_from_kelvin, xy_from_cct_duv};
use colour::primaries::D65;
use frame::Size;
use measure::Tap;
use ops::{Contrast, Display, Pointwise as _, Saturation, Signal};
use serde_json::Value;
use tests::picture::picture;
use tests::program::{Run, greywright};

const SIZE: Size = Size::new(320, 180);
const CHAIN: &str = "output-transform display=BT.1886 rendering=plain";
/// Name, place without edges, and light on AP1 of what both shots have; the card first.
const PLACES: [(&str, [u32; 4], [f64; 3]); 6] = [
    ("card", [22, 22, 36, 36], [0.18, 0.18, 0.18]),
    ("skin", [72, 22, 36, 36], [0.36, 0.27, 0.22]),
    ("leaf", [122, 22, 36, 36], [0.1, 0.12, 0.07]),
    ("cloth", [172, 22, 36, 36], [0.06, 0.08, 0.15]),
    ("wood", [222, 22, 36, 36], [0.17, 0.13, 0.1]),
    ("slate", [272, 22, 36, 36], [0.0021, 0.002, 0.0022]),
];

#[derive(Debug, Clone, Copy)]
struct Known {
    stops: f64,
    mired: f64,
    duv: f64,
    black: f64,
    contrast: f64,
    saturation: f64,
}

const NONE: Known = Known { stops: 0.0, mired: 0.0, duv: 0.0, black: 0.0, contrast: 1.0, saturation: 1.0 };

/// Numbers that look like chance.
struct Random(u64);

impl Random {
    fn even(&mut self) -> f64 {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (self.0 >> 11) as f64 / (1u64 << 53) as f64
    }

    fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.even()).sum::<f64>() - 6.0
    }
}

/// The light of the scene on AP1.
fn scene() -> Vec<[f64; 3]> {
    let mut random = Random(3);
    let pixels = (0..SIZE.height).flat_map(|y| (0..SIZE.width).map(move |x| [x, y]));
    let light = |[x, y]: [u32; 2]| {
        let stops = 2.0 * random.normal().clamp(-3.0, 1.0) - 1.0;
        let [r, b] = [0.1 * random.normal(), 0.1 * random.normal()];
        let near = |[left, top, width, height]: [u32; 4]| {
            (left - 2..left + width + 2).contains(&x) && (top - 2..top + height + 2).contains(&y)
        };
        let of_place = PLACES.iter().find(|(_, place, _)| near(*place));
        of_place.map_or_else(|| [r, -0.3 * (r + b), b].map(|log: f64| 0.18 * stops.exp2() * log.exp()), |place| place.2)
    };
    pixels.map(light).collect()
}

/// Writes the scene, moved, as a BT.1886 display shows it, with noise of so many 10-bit codes.
fn write(path: &Path, known: Known, noise: f64) -> PathBuf {
    let ap1 = Signal::scene();
    let saturation = Saturation { factor: known.saturation }.eval(&ap1);
    let contrast = Contrast { slope: known.contrast, ..Contrast::default() }.eval(&ap1);
    let (scene_tap, display) = (Tap::new(ap1), Tap::new(Display::Bt1886.signal(100.0, 0.0)));
    let (kelvin, duv) = cct_duv(D65).expect("a white");
    let white = xy_from_cct_duv(kelvin_from_mired(mired_from_kelvin(kelvin) + known.mired), duv + known.duv);
    let gains = scene_tap.light_of_xyz(white.expect("a white").to_xyz()).expect("light");
    let mut random = Random(known.stops.to_bits() ^ known.mired.to_bits() ^ 99);
    let code = |light: [f64; 3]| {
        let light = contrast(saturation(light));
        let moved = [0, 1, 2].map(|i| light[i] * gains[i] * known.stops.exp2());
        let own = display.light_of_xyz(scene_tap.xyz(moved)).expect("light");
        let [r, g, b] =
            display.signal_of_light(own).map(|v| (v + (known.black + noise * random.normal()) / 1023.0) as f32);
        [r, g, b, 1.0]
    };
    let pixels: Vec<_> = scene().into_iter().map(code).collect();
    picture(path, SIZE, &pixels)
}

fn typed([x, y, width, height]: [u32; 4]) -> String {
    format!("{x},{y},{width},{height}")
}

/// What of the evidence is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum By {
    Card,
    Surfaces,
    Statistics,
}

fn run(anchor: &Path, shot: &Path, by: By) -> Run {
    let mut run = greywright("compare --executor proof --input BT.1886").with(shot).with("--chain").with(CHAIN);
    run = run.with("--anchor").with(anchor);
    let [(_, card, _), surfaces @ ..] = &PLACES;
    if by == By::Card {
        run = run.with("--grey").with(typed(*card)).with("--anchor-grey").with(typed(*card));
    }
    if by == By::Surfaces {
        for (name, place, _) in surfaces {
            let marked = format!("{name}={}", typed(*place));
            run = run.with("--surface").with(&marked).with("--anchor-surface").with(&marked);
        }
    }
    run
}

fn number(of: &Value, name: &str) -> f64 {
    of[name].as_f64().unwrap_or_else(|| panic!("no {name} in {of}"))
}

#[test]
fn a_moved_picture_is_as_far_from_its_anchor_as_it_was_moved() {
    let dir = tempfile::tempdir().expect("a folder");
    let anchor = write(&dir.path().join("anchor.dpx"), NONE, 2.0);
    let moves = [
        NONE,
        Known { stops: 0.3, ..NONE },
        Known { mired: 10.0, duv: -0.002, ..NONE },
        Known { black: 8.0, ..NONE },
        Known { contrast: 1.12, saturation: 0.88, ..NONE },
        Known { stops: -0.2, mired: -8.0, duv: 0.0015, black: 6.0, contrast: 0.95, saturation: 1.1 },
    ];
    for known in moves {
        let shot = write(&dir.path().join("shot.dpx"), known, 2.0);
        for by in [By::Card, By::Surfaces, By::Statistics] {
            // A raised black that no dark surface tells lifts the card too; that is told in the docs.
            if by == By::Card && known.black != 0.0 {
                continue;
            }
            let answer = run(&anchor, &shot, by).with("--json").done().json();
            let of = &answer["rows"][0]["from_anchor"];
            println!("{known:?} by {by:?}: {of}");
            // Twelve hundred pixels a place, two codes of noise in each, and colours that ten bits cut at the gamut's edge.
            let near = |name: &str, want: f64, off: f64| {
                let got = number(of, name);
                assert!((got - want).abs() <= off, "{name} {got}, moved by {want}: {known:?} by {by:?}: {of}");
            };
            let weak = f64::from(u8::from(by == By::Statistics));
            near("stops", known.stops, 0.01 + 0.02 * weak);
            near("mired", known.mired, 0.5 + 0.7 * weak);
            near("duv", known.duv, 2e-4 + 4e-4 * weak);
            near("black_codes", known.black, 1.5);
            near("contrast", known.contrast, 0.015);
            near("saturation", known.saturation, 0.04);
            let light_by = match by {
                By::Card => "card",
                By::Surfaces => "surfaces",
                By::Statistics => "statistics",
            };
            assert_eq!(of["light_by"], light_by);
            assert_eq!(of["black_by"], if by == By::Surfaces { "surfaces" } else { "statistics" });
            assert!(number(of, "rest") < 0.5, "{of}");
            let is_none = known.stops == 0.0 && known.mired == 0.0 && known.black == 0.0;
            assert_eq!(answer["rows"][0]["same"]["distance"], is_none, "{known:?} by {by:?}: {of}");
        }
    }
}

#[test]
fn candidates_stand_in_the_order_of_their_distance_by_the_divisors_told() {
    let dir = tempfile::tempdir().expect("a folder");
    let anchor = write(&dir.path().join("anchor.exr"), NONE, 0.0);
    let shot = write(&dir.path().join("shot.exr"), Known { stops: 0.5, ..NONE }, 0.0);
    // Of the light of the display, so that a candidate is that far from the anchor through itself: all are as far.
    let run = |more: &str| {
        let run = run(&anchor, &shot, By::Card).with("--chain").with(format!("saturation factor=1 | {CHAIN}"));
        more.split_whitespace().fold(run, Run::with)
    };
    let answer = run("--json").done().json();
    let sizes: Vec<f64> =
        answer["rows"].as_array().expect("rows").iter().map(|row| number(&row["from_anchor"], "size")).collect();
    // Half a stop in units of a tenth.
    assert!(sizes.len() == 2 && sizes.iter().all(|size| (size - 5.0).abs() < 0.02), "{sizes:?}");
    let answer = run("--json --distance-divisors stops=1").done().json();
    assert!((number(&answer["rows"][0]["from_anchor"], "size") - 0.5).abs() < 0.01);
    assert_eq!(answer["anchor"]["divisors"]["mired"], 5.0);
    let report = dir.path().join("report.html");
    let table = run("--sort distance --out").with(&report).done().stdout;
    let html = std::fs::read_to_string(report).expect("a report");
    for words in
        ["anchor: anchor.exr", "from the anchor, light", "+0.50, +0.0, +0.0000, card", "distance from the anchor"]
    {
        assert!(table.contains(words) && html.contains(words), "no '{words}' in\n{table}");
    }
}

/// A project's shot beside another one, the anchor through the candidate that it has chosen.
#[test]
fn shots_of_a_project_are_told_apart_each_through_its_candidate() {
    let dir = tempfile::tempdir().expect("a folder");
    greywright("demo --size 320x180 --frames 1 --shots deck_010,galley_010 --no-faults").with(dir.path()).done();
    let project = dir.path().join("night_ferry.greywright");
    let run = |more: &str| {
        let run = greywright("compare --shot deck_010 --anchor galley_010 --sort distance").with(&project);
        more.split_whitespace().fold(run, Run::with)
    };
    let answer = run("--json").done().json();
    let rows = answer["rows"].as_array().expect("rows");
    let sizes: Vec<f64> = rows.iter().map(|row| number(&row["from_anchor"], "size")).collect();
    assert!(rows.len() == 5 && sizes.is_sorted(), "{sizes:?}");
    assert!(rows.iter().all(|row| row["from_anchor"]["light_by"] == "statistics"));
    // A shot beside itself is the same in every figure, whatever candidate.
    let itself = greywright(
        "compare --json --shot deck_010 --anchor deck_010 --anchor-candidate adaptation --candidates adaptation",
    );
    let answer = itself.with(&project).done().json();
    let row = &answer["rows"][0];
    assert!(number(&row["from_anchor"], "size") < 1e-3 && row["same"]["distance"] == true, "{row}");
    run("--anchor-candidate nothing").fails(1, &["nothing", "adaptation"]);
    run("--anchor-surface skin=1,1,9,9").fails(2, &["--anchor-surface skin", "--surface skin=X,Y,W,H"]);
    run("--anchor-grey 1,1,9,9").fails(2, &["--grey"]);
    run("--distance-divisors stops=0").fails(2, &["stops=0", "above 0"]);
    let compare = || greywright("compare --shot deck_010").with(&project);
    compare().with("--anchor").with("nowhere").fails(2, &["nowhere", "galley_010"]);
    compare().with("--sort").with("distance").fails(2, &["--anchor"]);
    compare().with("--anchor-frame").with("3").fails(2, &["--anchor-frame", "--anchor"]);
}
