//! How sure a grey is, as a user meets it in `compare` and `probe`: by a card and by a 24-patch chart.
//!
//! Sources: ARRI, ALEXA Log C Curve, 2012 (a stop is 0.0744 of signal at EI 800); the chart of `chart24.tsv`.

use std::path::{Path, PathBuf};

use colour::{Adaptation, Xy, primaries};
use frame::Size;
use measure::Tap;
use ops::Signal;
use serde_json::Value;
use tests::picture::picture;
use tests::program::greywright;
use tests::table::{number, rows};

const CHAIN: &str = "input-transform encoding=LogC3 | output-transform display=BT.1886 rendering=plain";

/// A warm picture with a card whose signal rises by so much from left to right and has noise of so many codes.
fn card(path: &Path, rise: f64, noise: f64) -> PathBuf {
    let size = Size::new(64, 48);
    let mut state = 5u64;
    let mut even = || {
        state = state.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        (state >> 11) as f64 / (1u64 << 53) as f64
    };
    let mut pixel = |x: u32| {
        let [r, g, b] = [0.415, 0.385, 0.327].map(|v: f64| {
            let grain = (0..12).map(|_| even()).sum::<f64>() - 6.0;
            (v + rise * (f64::from(x) / 32.0 - 0.5) + noise * grain / 1023.0) as f32
        });
        [r, g, b, 1.0]
    };
    let pixels: Vec<_> = (0..size.height).flat_map(|_| (0..size.width).collect::<Vec<_>>()).map(&mut pixel).collect();
    picture(path, size, &pixels)
}

fn sure(file: &Path, more: &str) -> Value {
    let run = greywright("compare --executor proof --json --grey 0,0,32,32").with(file).with("--chain").with(CHAIN);
    more.split_whitespace().fold(run, tests::program::Run::with).done().json()["confidence"].clone()
}

#[test]
fn the_largest_part_is_named_and_probe_says_the_same() {
    let dir = tempfile::tempdir().expect("a folder");
    let even = card(&dir.path().join("even.dpx"), 0.0, 3.0);
    let none = "--card-tolerance stops=0,mired=0,duv=0 --card-flare 0";
    assert_eq!((&sure(&even, none)["largest"], &sure(&even, none)["mostly"]), (&"noise".into(), &true.into()));
    let usual = sure(&even, "");
    assert_eq!(usual["largest"], "card");
    // Of three codes of noise over 1024 pixels less is left than the card is off.
    assert!(
        usual["stops"].as_f64().expect("stops") < 0.06 && usual["pixels"].as_u64().expect("pixels") > 1000,
        "{usual}"
    );
    let flat = card(&dir.path().join("flat.dpx"), 0.0, 0.0);
    assert_eq!(sure(&flat, none)["largest"], "quantisation");
    let uneven = card(&dir.path().join("uneven.dpx"), 0.0744 / 2.0, 3.0);
    let told = sure(&uneven, "");
    assert_eq!((&told["largest"], &told["mostly"]), (&"gradient".into(), &true.into()), "{told}");
    let probe = || greywright("probe --executor proof --input LogC3 --area grey=0,0,32,32 --card grey").with(&uneven);
    let of_probe = probe().with("--json").done().json()["frames"][0]["areas"][0]["readings"][0]["confidence"].clone();
    for figure in ["kelvin", "mired", "duv", "stops"] {
        let (a, b) = (of_probe[figure].as_f64().expect("a figure"), told[figure].as_f64().expect("a figure"));
        // Codes read exactly there and as single floats here; the veil has the picture's colour in both.
        assert!((a / b - 1.0).abs() < 1e-3, "{figure}: {a} {b}");
    }
    let words = probe().done().stdout;
    assert!(words.contains("as a grey card: ") && words.contains("stop, mostly gradient, one sigma"), "{words}");
    let table =
        greywright("compare --executor proof --grey 0,0,32,32").with(&uneven).with("--chain").with(CHAIN).done();
    assert!(table.stdout.contains("confidence of the card: ") && table.stdout.contains("mostly gradient"), "{table}");
    greywright("probe --card grey").with(&even).fails(2, &["--card grey", "--area grey=X,Y,W,H"]);
    greywright("compare --card-tolerance stops=-1").with(&even).fails(2, &["stops=-1", "0 or more"]);
}

/// Columns and rows of a patch.
const SIDE: u32 = 20;

/// The chart under a light that is these gains of D65 on AP1, as scene light; turned upside down or not.
fn chart(path: &Path, gains: [f64; 3], turned: bool) -> PathBuf {
    let d50 = Xy::new(0.345_702_91, 0.358_538_6);
    let adapted = Adaptation::Bradford.matrix(d50, primaries::D65);
    let scene = Tap::new(Signal::scene());
    let patch = |row: &tests::table::Row| {
        let [x, y, luminance] = ["x", "y", "Y"].map(|column| number(row, column));
        let xyz = Xy::new(x, y).to_xyz().map(|v| v * luminance);
        let light = scene.light_of_xyz(adapted.apply(xyz)).expect("light");
        [0, 1, 2].map(|i| (light[i] * gains[i]) as f32)
    };
    let mut patches: Vec<[f32; 3]> = rows("chart24.tsv").iter().map(patch).collect();
    if turned {
        patches.reverse();
    }
    let size = Size::new(8 * SIDE, 6 * SIDE);
    let pixel = |x: u32, y: u32| {
        let inside = (SIDE..7 * SIDE).contains(&x) && (SIDE..5 * SIDE).contains(&y);
        let at = || (y / SIDE - 1) * 6 + x / SIDE - 1;
        let [r, g, b] = if inside { patches[at() as usize] } else { [0.02; 3] };
        [r, g, b, 1.0]
    };
    let pixels: Vec<_> = (0..size.height).flat_map(|y| (0..size.width).map(move |x| pixel(x, y))).collect();
    picture(path, size, &pixels)
}

#[test]
fn a_chart_tells_the_light_and_is_the_truth_of_its_patches() {
    let dir = tempfile::tempdir().expect("a folder");
    let gains = [1.5, 0.95, 0.45];
    let lit = chart(&dir.path().join("lit.exr"), gains, false);
    let place = format!("{SIDE},{SIDE},{},{}", 6 * SIDE, 4 * SIDE);
    let output = "output-transform display=BT.1886 rendering=plain";
    let [r, g, b] = gains.map(f64::recip);
    let run = greywright("compare --executor proof --input ACEScg --chart").with(&place).with(&lit).with("--json");
    let run = run.with("--chain").with(format!("channel-gain red={r} green={g} blue={b} domain=scene | {output}"));
    let answer = run.with("--chain").with(output).done().json();
    let white = Tap::new(Signal::scene()).xyz(gains);
    let sum: f64 = white.iter().sum();
    assert_eq!(answer["grey"]["known"], "chart");
    for (name, want) in [("x", white[0] / sum), ("y", white[1] / sum)] {
        let got = answer["grey"][name].as_f64().expect("a number");
        assert!((got - want).abs() < 1e-5, "{name}: {got} {want}");
    }
    let [baseline, corrected, plain] = &answer["rows"].as_array().expect("rows")[..] else { panic!("{answer}") };
    let to_truth = |row: &Value| row["to_truth_patches"]["mean"].as_f64().expect("a mean");
    // The light is gains, so that gains take it away and a Bradford adaptation not quite.
    assert!(corrected["to_truth_patches"]["count"] == 24 && to_truth(corrected) < 0.05, "{corrected}");
    assert!(to_truth(baseline) > 0.5 && to_truth(plain) > 5.0 * to_truth(baseline), "{baseline} {plain}");
    assert_eq!(corrected["same"]["grey_drift"], true);
    // Skins and foliage of the chart are its surfaces.
    assert_eq!(corrected["hue_gaps"].as_array().expect("gaps").len(), 3);
    let turned = chart(&dir.path().join("turned.exr"), gains, true);
    let run = |file: &Path, place: &str| {
        greywright("compare --executor proof --input ACEScg --chain")
            .with(output)
            .with(file)
            .with("--chart")
            .with(place)
    };
    run(&turned, &place).fails(1, &["upright", "dark skin"]);
    run(&lit, "500,500,60,40").fails(2, &["--chart 500,500,60,40"]);
}

/// A card that the codes cut has no colour that could be known.
#[test]
fn a_card_whose_codes_clip_is_refused() {
    let dir = tempfile::tempdir().expect("a folder");
    let clipped = |file: &str| {
        let mut pixels = vec![[0.4, 0.38, 0.33, 1.0]; 32 * 32];
        pixels[5 * 32 + 5][0] = 1.0;
        picture(&dir.path().join(file), Size::new(32, 32), &pixels)
    };
    let run = |file: &Path, place: &str| {
        greywright("compare --executor proof --grey").with(place).with(file).with("--chain").with(CHAIN)
    };
    let dpx = clipped("clipped.dpx");
    run(&dpx, "0,0,16,16").fails(1, &["--grey 0,0,16,16", "clipped", "mark a grey below clip"]);
    run(&dpx, "8,8,16,16").done();
    // In floats 1 is no end.
    run(&clipped("clipped.exr"), "0,0,16,16").done();
    // The anchor's card too.
    let anchored = run(&dpx, "8,8,16,16").with("--anchor").with(&dpx).with("--anchor-grey").with("0,0,16,16");
    anchored.fails(1, &["--anchor-grey 0,0,16,16", "clipped"]);
}
